"""Pages of equipment, one file a noun."""
