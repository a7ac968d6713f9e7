"""One stroke laid out frame by frame over its curve, in the picture's place."""
