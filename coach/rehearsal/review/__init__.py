"""What many runs say: learning, review, and what to play next."""
