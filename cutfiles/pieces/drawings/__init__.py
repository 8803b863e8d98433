"""The user's own outlines: SVG and DXF drawings read into closed outlines of lines and arcs."""
