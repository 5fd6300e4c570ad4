"""What is heard while a run plays, and before it: breaths, stops, loudness, a start."""
