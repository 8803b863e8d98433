"""Sheets of paper: their sizes, and how a mat is parted among them."""
