"""The way between strokes, made short."""
