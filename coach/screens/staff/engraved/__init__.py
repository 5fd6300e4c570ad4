"""Staff lines as engraved pictures, where the terminal shows them."""
