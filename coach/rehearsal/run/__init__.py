"""One run: its states, marks and the air as it goes."""
