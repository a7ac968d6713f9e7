"""The document: one review, its notes and decisions, its file and its undo. No widgets."""
