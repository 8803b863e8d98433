"""Layouts built piece by piece, and by rows."""
