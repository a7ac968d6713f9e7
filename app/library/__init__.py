"""Athletes, what they sent, what they were told and what became of it: kept as summaries."""
