"""What lies ready for a coach: the sample review and reference strokes."""
