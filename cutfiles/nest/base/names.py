"""Names of pieces: the same in layout.json and in every file, and fit to be an XML id."""

from __future__ import annotations

from collections.abc import Iterable


def piece_stems(pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """Return the first part of a piece's id for each (fabric, shape), all different.

    An XML Name (XML 1.0, production 5) can't begin with a digit or a hyphen; a fabric's name may.

    >>> piece_stems([("tide", "blade"), ("30s", "blade")])
    {('tide', 'blade'): 'tide-blade', ('30s', 'blade'): 'f-30s-blade'}
    """
    stems: dict[tuple[str, str], str] = {}
    taken: set[str] = set()
    for pair in pairs:
        if pair in stems:
            continue
        fabric, shape = pair
        stem = f"{fabric}-{shape}"
        if not stem[0].isalpha():
            stem = f"f-{stem}"
        # "sea" with an outline "weed-blade" and "sea-weed" with blades would share ids.
        while stem.lower() in taken:
            stem += "-b"
        taken.add(stem.lower())
        stems[pair] = stem
    return stems
