"""The sewing in pictures, computed from this very plate. A module a subject; `stage.py` draws each stage.

In: a plate. Out: stages in the order of sewing, and small pictures of them.
"""
