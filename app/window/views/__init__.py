"""The picture, the trace and the stroke's curve, which every feature draws on."""
