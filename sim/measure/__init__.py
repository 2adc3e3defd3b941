"""Numbers read off a motion or a part."""
