"""What the pen draws: the pieces' lines, and register marks."""
