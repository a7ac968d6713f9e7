"""The review bench: media, the review document, the window, the bundle, the commands."""
