"""The curve to row towards, and what it would change on a flywheel."""
