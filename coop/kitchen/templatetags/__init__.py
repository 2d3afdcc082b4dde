"""Template tags of the kitchen."""
