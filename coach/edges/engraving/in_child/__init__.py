"""What runs only in the child process that engraves."""
