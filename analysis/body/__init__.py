"""What the body does: joint angles over time, and the load on the low back."""
