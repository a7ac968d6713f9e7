"""Writing what the athlete gets."""
