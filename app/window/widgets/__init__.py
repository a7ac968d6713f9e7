"""Widgets that know nothing of rowing or of the review."""
