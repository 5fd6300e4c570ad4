"""One file a command: what it does, what it prints, what it exits with."""
