"""What the things of a review are made of: texts, errors, tables, references to strokes."""
