"""Score files: found, read in a child process, kept in a cache."""
