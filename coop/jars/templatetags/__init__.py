"""Template tags of jars."""
