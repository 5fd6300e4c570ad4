"""What is said to a player of breaths: why each stands there, what goes wrong."""
