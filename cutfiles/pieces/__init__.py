"""What is cut and drawn: each distinct shape with its cut line, sew lines and marks.

In: a job and its plate. Out: a cut list of shapes, each in its own frame.
"""
