"""Clips, stills, strips and curves, and what is painted on them."""
