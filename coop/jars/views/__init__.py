"""Pages of jars."""
