"""How messages name each of the tables that may come again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from cutfiles.job.model.job import place_of
from cutfiles.job.parse.section import label_of
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Table


def named(table: Table, entries: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    """Return the key path of each entry: by its name where that tells it apart, else by its number.

    >>> named(fields.FABRIC, [{"name": "tide"}, {"name": "tide"}, {"names": ["shingle", "samphire"]}, {}])
    ('fabric.tide', 'fabric.2', 'fabric.shingle', 'fabric.4')
    """
    taken: set[str] = set()
    places = []
    for number, entry in enumerate(entries, start=1):
        several = entry.get("names")
        first = entry.get("name", several[0] if isinstance(several, list) and several else None)
        name = label_of(first) if table in (fields.FABRIC, fields.OUTLINE) else None
        places.append(
            f"{table.name}.{number}" if name is None or name in taken else place_of(table.name, name)
        )
        taken.add(name or "")
    return tuple(places)
