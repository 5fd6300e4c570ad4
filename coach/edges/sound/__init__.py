"""Sound devices: the built-in click out, the microphone in."""
