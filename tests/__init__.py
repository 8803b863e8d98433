"""Tests mirror the folders of the package; every generator is in `tests/strategies.py`."""
