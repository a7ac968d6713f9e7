"""Review files of earlier versions: their tables, and how their rows become today's."""
