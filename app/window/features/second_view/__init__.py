"""The piece seen from elsewhere, in a corner of the picture, at the same moment."""
