"""What every room may use: units of length, the tree of errors, tolerances, counts in words.

Nothing comes in: it imports nothing of the project.
"""
