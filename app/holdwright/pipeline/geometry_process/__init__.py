"""The child process that geometry runs in, and what is said to it and by it."""
