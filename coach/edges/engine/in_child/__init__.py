"""What runs in the engine process only: clicks on time, and all gear."""
