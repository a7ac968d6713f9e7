"""The same jobs without a window, a module each; `program` is the way in."""

from app.commands.program import main

__all__ = ["main"]
