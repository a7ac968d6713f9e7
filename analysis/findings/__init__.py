"""What a good coach would say about a piece, each with its evidence."""
