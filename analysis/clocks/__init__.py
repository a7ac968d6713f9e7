"""Lining up the video clock and the force clock."""
