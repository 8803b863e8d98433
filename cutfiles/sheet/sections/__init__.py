"""The sections of the sheet, one a module."""
