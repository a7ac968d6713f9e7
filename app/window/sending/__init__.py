"""What goes to the athlete, and what comes back."""
