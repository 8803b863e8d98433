"""What leaves the line: machine files, `layout.json`, and saving all files or none."""
