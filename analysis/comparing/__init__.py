"""Two strokes compared: one phase for both, one picture laid over the other, what differs."""
