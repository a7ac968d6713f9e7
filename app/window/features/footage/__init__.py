"""Moving through the footage and looking at it."""
