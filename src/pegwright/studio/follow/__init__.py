"""The page at the loom: what is followed, and devices brought together."""
