"""What must hold of a layout by itself, before any file is looked at. `layout_faults.py` is the door."""
