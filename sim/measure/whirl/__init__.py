"""Whirl: bending modes of all shafts of a driveline together, on their real supports."""
