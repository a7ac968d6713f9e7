"""What a library cannot do, said in one sentence."""


class LibraryError(ValueError):
    """The message is one sentence for the user: what happened, what was kept, what to do."""


class NoSuchAthlete(LibraryError):
    """Nobody of that name is in the library, or nobody this coach may see."""
