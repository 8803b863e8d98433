"""Machines that are not quite true: corrections, and the sheet to measure them by."""
