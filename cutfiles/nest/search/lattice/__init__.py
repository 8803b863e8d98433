"""Search where a print repeats: origins on a lattice, a largest independent set of places."""
