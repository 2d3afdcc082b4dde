"""What buying has to tell, and to whom."""
