"""Pages of the kitchen."""
