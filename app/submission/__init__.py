"""What an athlete sent, read once: films, force recordings, clocks, strokes, measures, findings."""
