"""What the sheet is made with: elements, drawing, type, colours, words."""
