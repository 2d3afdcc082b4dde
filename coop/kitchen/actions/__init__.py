"""What changes plans, loads and lots, one file a noun."""
