"""The sewn trade's DXF: a block a piece, layers that are numbers."""
