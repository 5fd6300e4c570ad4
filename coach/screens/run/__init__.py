"""At the stand: the run itself."""
