"""The footage: its frames, its sound, its speed, and what stands around it."""
