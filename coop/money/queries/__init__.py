"""What reads the books. Always starts from a co-op."""
