"""The page as it is played: repeats, ties and grace notes, in playing order."""
