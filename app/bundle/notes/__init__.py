"""The notes with their pictures."""
