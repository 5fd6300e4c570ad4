"""MIDI: ports, bytes, and the clock that other gear follows."""
