"""Jars: what each household has counted, what it can spare, and what is lent to whom."""
