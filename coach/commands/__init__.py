"""One file a command: what it takes, what it prints, what it exits with."""
