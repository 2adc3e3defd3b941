"""What is modelled: parts, vehicle, reading and refusing scene files."""
