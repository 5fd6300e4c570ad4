"""What runs in the two MIDI processes only: whoever calls drivers may have to wait."""
