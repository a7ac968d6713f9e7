"""The body in the film: followed, seen on the picture, put right by hand."""
