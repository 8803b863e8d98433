"""A job as values: every table of the file, lengths in mm."""
