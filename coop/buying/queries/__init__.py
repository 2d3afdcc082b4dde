"""What reads buys. Every query starts from a co-op or a member."""
