"""Before playing: the page with breaths, positions and air, and its reach."""
