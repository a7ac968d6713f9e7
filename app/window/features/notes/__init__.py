"""Notes, typed and spoken."""
