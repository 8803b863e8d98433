"""Pictures: the plate, a mat load."""
