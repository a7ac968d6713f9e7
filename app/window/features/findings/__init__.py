"""What the curves say, as findings the coach keeps, words anew or drops."""
