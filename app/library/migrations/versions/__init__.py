"""One module a version, oldest first by its number; a released one is never changed."""
