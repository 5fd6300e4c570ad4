"""What a run needs from outside, as protocols, and what the player chose of it."""
