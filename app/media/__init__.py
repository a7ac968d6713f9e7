"""Frames by true timestamp, sound and encoding. Knows nothing of reviews, strokes or Qt."""
