"""How a blade's wide end is finished: a module a tip, each with all that is particular to it.

In: a wedge as numbers. Out: valley, cut line, marks, finished outline, words and sewing steps. `registry.py`
is the door: a new tip is a module here and a line there.
"""
