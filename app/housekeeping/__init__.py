"""What dead processes left, tidied at the start of window and commands."""
