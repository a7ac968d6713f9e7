"""Force files into a trace, strokes, curves, measures and a target curve."""
