"""Forms of jars."""
