"""What a bundle is made from, and the one door to footage."""
