"""Two strokes side by side, and strokes to tell apart."""
