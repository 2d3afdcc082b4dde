"""What reads equipment. A fixed number of queries each."""
