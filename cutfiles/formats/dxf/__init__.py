"""DXF, written as R12 and 2000, read from R12 to R2018."""
