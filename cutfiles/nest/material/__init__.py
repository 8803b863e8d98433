"""Cloth and mat as the nest sees them: what of each may be used, how a piece may lie, where prints repeat."""
