"""Explanations kept once and offered again."""
