"""Template tags of equipment."""
