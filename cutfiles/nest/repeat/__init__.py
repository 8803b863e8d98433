"""Repeats of a print that a plate needs, in closed form."""
