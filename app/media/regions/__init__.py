"""Following a part of the picture from frame to frame."""
