"""Two strokes side by side; references and the self-test."""
