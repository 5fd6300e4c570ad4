"""What the terminal can show: signs, and notes as pictures."""
