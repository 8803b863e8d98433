"""The shortest strip: linear programs, and proposals from an outside solver."""
