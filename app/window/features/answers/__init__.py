"""What athletes send back."""
