"""What all formats share: the plan that is written, the drawing that is read, styles, numbers as text."""
