"""What runs only in the child process that hears a take or a recording."""
