"""What is cut: kerf, trailing knives, overcut, shared edges, where outlines begin."""
