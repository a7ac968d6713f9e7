"""Files as people send them: still pictures, and what a file says of its own origin."""
