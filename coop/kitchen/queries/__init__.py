"""What is read of plans, loads and lots."""
