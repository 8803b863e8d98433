"""What the pen writes: single-stroke letters, and where on a piece a label has room."""
