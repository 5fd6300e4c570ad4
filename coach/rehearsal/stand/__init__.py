"""What lies on the music stand, and what the player asks for."""
