"""From what music21 has read to a page, and a last look at it."""
