"""What a coach can do, a folder each. No feature imports another."""
