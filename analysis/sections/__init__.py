"""A piece cut into stretches of like rate and pressure."""
