"""Clearance: how near moving parts come to what must not be touched, and to the ground."""
