"""A walkthrough painted as a film."""
