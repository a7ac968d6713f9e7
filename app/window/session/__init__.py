"""The open review: its recordings, its file, its clock, what is chosen in it."""
