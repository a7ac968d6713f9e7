"""The review file: its tables, their versions, and the rows of each part."""
