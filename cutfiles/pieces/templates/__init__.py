"""Rigid templates of acrylic or card: what is cut, what is engraved."""
