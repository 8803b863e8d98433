"""A job that no machine cuts: strips across the cloth, and the marks at which a ruler cuts them into pieces.

In: fabrics and shapes. Out: the strips of each fabric, in the order in which they are cut. No search: rows in
closed form, and rectangles that go through from edge to edge. `cutter.py` is the door.
"""
