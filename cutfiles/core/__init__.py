"""What every room may use: units of length, the tree of errors, tolerances.

Nothing comes in: it imports nothing of the project.
"""
