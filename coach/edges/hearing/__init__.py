"""Runs as they sound: takes and recordings, heard in a child process."""
