"""What grows."""
