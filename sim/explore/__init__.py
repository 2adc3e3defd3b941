"""Many designs of one structure at once: how sure verdicts are, and what would cure them."""
