"""Who of several players at one laptop plays, and who else has runs here."""
