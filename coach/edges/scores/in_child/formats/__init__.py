"""What each kind of score file needs before, beside and instead of music21."""
