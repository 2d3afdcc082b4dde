"""Forms of equipment, one file a noun."""
