"""All searches: fill a container with one shape or several, or find the shortest. `solver.py` is the door.

In: shapes, a container, the cloth's rules, a context of bound and clock. Out: placed items, or a length.
The names of fabrics, the loads and the plates are known to its callers only.
"""
