"""Opening a review, naming it, and its file."""
