"""`layout.json` as values: what the machine files are checked against."""
