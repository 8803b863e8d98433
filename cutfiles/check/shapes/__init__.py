"""Outlines compared: the same, the same but turned, tangled, needlessly broken."""
