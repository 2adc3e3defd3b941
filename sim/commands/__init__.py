"""The commands: one module each, its arguments and what it prints."""
