"""One machine file as its rules see it: the drawing, its load, and what follows from both, worked out once.

In: a drawing as read, what the layout knows of its load. Out: a `Context`: outlines as the tool leaves them,
holes, register marks, pieces, and which outline is which piece.
"""
