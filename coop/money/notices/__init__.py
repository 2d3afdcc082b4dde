"""What money has to tell, and to whom."""
