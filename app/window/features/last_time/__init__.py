"""What became of what an athlete was told: this time against last time."""
