"""The review turned into what the athlete gets: page, stills, curves, tables, captions."""
