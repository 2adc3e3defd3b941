"""The tables of a scene, one a module: its keys, what they become, how that is built."""
