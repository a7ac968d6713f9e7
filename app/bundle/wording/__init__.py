"""The fixed words, in each language."""
