"""Rectangles of fabric onto as few mat loads as can be."""
