"""What changes jars: counts and loans, one file a noun."""
