"""Before playing: what is decided."""
