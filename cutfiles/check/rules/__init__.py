"""The rules: each is a function from the context of a file to faults; `rules.py` has them in order."""
