"""What a hand can mark on the picture and on the curve: tools, of which few are out at a time."""
