"""Notes engraved as pictures, where the terminal can show them."""
