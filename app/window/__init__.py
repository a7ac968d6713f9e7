"""Widgets only: they show the review and turn gestures into commands on it."""
