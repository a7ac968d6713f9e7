"""Body points of one person found in single frames by published networks, without clicks.

The networks are files beside the program (`ModelFiles`); without them, or without the package that
runs them, everything else works. What comes out is a guess of each frame by itself: steadying it
over time, and correcting it by clicks, is done elsewhere.
"""
