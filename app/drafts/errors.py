"""What stops a whole batch, said in one sentence."""


class BatchError(ValueError):
    """The message is one sentence for the user; drafts that were ready stay."""
