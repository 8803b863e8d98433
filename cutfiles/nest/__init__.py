"""Where every piece lies: on which fabric, on which mat load.

In: a cut list, fabrics, a mat. Out: a verified `base.layout.Layout`. `nest.py` is the door.
"""
