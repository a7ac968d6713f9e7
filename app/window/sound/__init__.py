"""Microphone and loudspeaker."""
