"""What was spoken, as words: offline, by a small model, put right by the words of the trade."""
