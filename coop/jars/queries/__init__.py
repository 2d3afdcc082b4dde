"""What is read of jars."""
