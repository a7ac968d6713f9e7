"""The recorded walkthrough: recording, playing, cutting, writing."""
