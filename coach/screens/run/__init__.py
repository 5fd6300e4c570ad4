"""At the stand: the run itself, and the word after it."""
