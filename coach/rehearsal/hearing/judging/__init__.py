"""What the notes of a take say: ahead, behind, breaths, evenness, and how surely."""
