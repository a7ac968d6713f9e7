"""Work off the window's thread, and what is said of it."""
