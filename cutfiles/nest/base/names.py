"""Names of pieces: the same in layout.json and in every file, and fit to be an XML id."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cutfiles.core.letters import nearest_letters


def piece_stems(pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """Return the first part of a piece's id for each (fabric, shape), all different.

    An XML Name (XML 1.0, production 5) can't begin with a digit or a hyphen, and older programs want it in
    ASCII; a fabric's name may be anything.

    >>> piece_stems([("tide", "blade"), ("30s", "blade")])
    {('tide', 'blade'): 'tide-blade', ('30s', 'blade'): 'f-30s-blade'}
    >>> list(piece_stems([("Grün, hell", "blade"), ("海", "blade"), ("沙", "blade")]).values())
    ['Grun-hell-blade', 'fabric-blade', 'fabric-blade-b']
    """
    stems: dict[tuple[str, str], str] = {}
    taken: set[str] = set()
    for pair in pairs:
        if pair in stems:
            continue
        fabric, shape = pair
        stem = f"{_id_part(fabric)}-{shape}"
        if not stem[0].isalpha():
            stem = f"f-{stem}"
        # "sea" with an outline "weed-blade" and "sea-weed" with blades would share ids.
        while stem.lower() in taken:
            stem += "-b"
        taken.add(stem.lower())
        stems[pair] = stem
    return stems


def _id_part(fabric: str) -> str:
    return re.sub(r"[^A-Za-z0-9-]+", "-", nearest_letters(fabric)).lstrip("-") or "fabric"
