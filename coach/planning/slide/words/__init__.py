"""What is said to a player of arm, positions and articulation."""
