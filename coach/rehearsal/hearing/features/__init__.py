"""What the ear notes of a sound every few milliseconds: pitches, level, beginnings."""
