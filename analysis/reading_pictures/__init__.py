"""A force curve read from a picture of it: a photo of a screen or paper, or a screen shot."""
