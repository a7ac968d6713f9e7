"""Signals of any kind and source, strokes, and signals over strokes."""
