"""Tables of a job file as sections: one of a name, or several, each with its name for messages."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.job.model.job import place_of
from cutfiles.job.parse.section import Section, label_of, quoted
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Table

MOST_TABLES = 1000  # of a name


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


def section_of(raw: dict[str, Any], table: Table, unit: Unit) -> Section:
    """Return a table that stands once, empty if it isn't there.

    Raises:
        JobError: it is something else.
    """
    value = raw.get(table.name, {})
    if not isinstance(value, dict):
        how = f"write it once, as [{table.name}]" if isinstance(value, list) else f"write [{table.name}]"
        raise JobError(table.name, f"{quoted(value)} is not a table; {how}")
    return Section(table.name, table, value, unit)


def section_if_there(raw: dict[str, Any], table: Table, unit: Unit) -> Section | None:
    """Return a table that stands once, None if it isn't there.

    Raises:
        JobError: it is something else.
    """
    return section_of(raw, table, unit) if table.name in raw else None


def sections_of(raw: dict[str, Any], table: Table, unit: Unit) -> list[Section]:
    """Return all tables of a name that may come again.

    Raises:
        JobError: they are something else, or too many.
    """
    value = raw.get(table.name, [])
    if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
        raise JobError(table.name, f"write each one as [[{table.name}]], in double brackets")
    if len(value) > MOST_TABLES:
        raise JobError(table.name, f"{len(value)} are too many; at most {MOST_TABLES} are allowed")
    places = named(table, value)
    return [Section(where, table, entry, unit) for where, entry in zip(places, value, strict=True)]
