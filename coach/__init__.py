"""A rehearsal coach for wind players, in the terminal."""

__version__ = "0.1.0"
