"""The body in a film: from a film to followed points, and points as a file."""
