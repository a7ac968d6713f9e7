"""Frames by true timestamp, sound, encoding. Knows numpy, PyAV and OpenCV, and nobody here."""
