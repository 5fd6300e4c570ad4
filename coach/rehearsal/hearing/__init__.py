"""Sounds in the microphone: where they begin, and how late they come."""
