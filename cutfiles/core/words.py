"""Counts and lists as a sentence says them."""

from __future__ import annotations

from collections.abc import Sequence


def counted(count: int, singular: str, plural: str = "") -> str:
    """Return a count with its noun.

    >>> counted(1, "load"), counted(3, "load"), counted(2, "loaf", "loaves")
    ('1 load', '3 loads', '2 loaves')
    """
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


def listed(items: Sequence[str]) -> str:
    """Return the items as a sentence lists them.

    >>> listed(["tide"]), listed(["tide", "shingle", "lantern"])
    ('tide', 'tide, shingle and lantern')
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"
