"""After the run: what it was like, and what comes next."""
