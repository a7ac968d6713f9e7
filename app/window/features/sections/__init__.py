"""The sections of a piece, as the coach cuts and names them."""
