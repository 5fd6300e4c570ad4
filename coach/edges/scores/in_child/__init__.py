"""What runs only in the child process that reads a score."""
