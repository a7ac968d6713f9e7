"""What H.264 says of itself: levels, and pictures inside packets."""
