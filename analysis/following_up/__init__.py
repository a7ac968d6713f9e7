"""A piece held against the one before: changed, not yet, or it cannot be told."""
