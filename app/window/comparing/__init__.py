"""Two strokes side by side."""
