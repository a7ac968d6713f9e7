"""What a stroke is, in numbers: force, body, clocks and findings. Never Qt."""
