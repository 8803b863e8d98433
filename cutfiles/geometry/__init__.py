"""Plane geometry of lines and circular arcs, exact: outlines, poses, distances, offsets, convex parts.

In and out: values in mm, y up, turns in degrees counter-clockwise. No plates, fabric or files in here.
"""
