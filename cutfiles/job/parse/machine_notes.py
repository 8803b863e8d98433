"""A file of the user's own with what is always so of a machine: tables that a job need not repeat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.parse.toml_file import tables_of, text_of
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Field, Kind, Table
from cutfiles.job.schema.output import LAYERS

# The tables that such a file may hold.
TABLES = (fields.MAT, fields.MACHINE, LAYERS)
_UNIT = Table("", "", (fields.JOB.field("unit"),))


@dataclass(frozen=True, slots=True)
class MachineNotes:
    """Tables from a file beside the job; lengths carry their unit."""

    file: str = ""  # as messages name it; empty where the job names none
    tables: Mapping[str, Mapping[str, object]] = field(default_factory=dict)

    def under(self, raw: Mapping[str, Any]) -> dict[str, Any]:
        """Return a job's tables with what they lack from these; a key that the job has wins."""
        whole = dict(raw)
        for name, keys in self.tables.items():
            own = raw.get(name, {})
            if isinstance(own, dict):  # what else it may be is an error, told later
                whole[name] = {**keys, **own}
        return whole

    @contextmanager
    def named(self, raw: Mapping[str, Any]) -> Iterator[None]:
        """Mark an error as being about this file if its key comes from here and not from the job's tables."""
        try:
            yield
        except JobError as error:
            table, _, key = error.where.partition(".")
            key = key.partition(".")[0]
            if key in self.tables.get(table, {}) and key not in raw.get(table, {}):
                error.file = self.file
            raise


def notes_of(raw: dict[str, Any], folder: Path) -> MachineNotes:
    """Return the notes that a job names, and take a `machine = "file"` at its top out of its tables.

    Args:
        raw: the job's tables.
        folder: where paths in it start.

    Raises:
        JobError: the file can't be read or holds what it may not; the error then names that file.
    """
    where, name = _named_file(raw)
    if not where:
        return MachineNotes()
    if not isinstance(name, str) or not name or not name.isprintable():
        raise JobError(where, f'{quoted(name)} is no file; write the path of one, like "my-cutter.toml"')
    path = folder / name
    try:
        text = text_of(path)
    except OSError as error:
        raise JobError(
            where,
            f"{quoted(name)} can't be read ({error.strerror}); "
            "give the path of a machine file from the job file's folder",
        ) from None
    except JobError as error:
        error.file = str(path)
        raise
    try:
        return MachineNotes(str(path), _tables(tables_of(text)))
    except JobError as error:
        error.file = str(path)
        raise


def _named_file(raw: dict[str, Any]) -> tuple[str, object]:
    """Where the job names a file, and what it says there; two empty texts if it doesn't."""
    job = raw.get(fields.JOB.name)
    inside = isinstance(job, dict) and "machine" in job
    at_top = isinstance(raw.get(fields.MACHINE.name), str)
    if inside and at_top:
        raise JobError("machine", "stands beside job.machine; leave one of the two out")
    if at_top:
        return "machine", raw.pop(fields.MACHINE.name)
    return ("job.machine", job["machine"]) if inside and job else ("", "")


def _tables(raw: dict[str, Any]) -> dict[str, dict[str, object]]:
    for key in raw:
        if key not in ("unit", *(table.name for table in TABLES)):
            may = ", ".join(f"[{table.name}]" for table in TABLES)
            where = key if key.isprintable() else ""
            raise JobError(where, f"has no place in a machine file; it may hold unit, {may}")
    unit = _Top("", _UNIT, {key: raw[key] for key in raw if key == "unit"}, Unit.IN).choice("unit", Unit)
    keys_by_table = {}
    for table in TABLES:
        keys = raw.get(table.name, {})
        if not isinstance(keys, dict):
            raise JobError(table.name, f"{quoted(keys)} is not a table; write [{table.name}]")
        Section(table.name, table, keys, unit)  # refuses keys that nobody knows
        keys_by_table[table.name] = {
            key: _with_unit(table.field(key), value, unit) for key, value in keys.items()
        }
    return keys_by_table


class _Top(Section):
    """Keys that stand above all tables."""

    def error(self, key: str, says: str) -> JobError:
        return JobError(key, says)


def _with_unit(known_field: Field, value: object, unit: Unit) -> object:
    """A number without a unit means this file's unit, whatever the job's is."""
    if known_field.kind is not Kind.LENGTH or isinstance(value, bool):
        return value
    if isinstance(value, (int, float)):
        return f"{value!r} {unit.value}"
    if isinstance(value, str) and (text := value.strip()) and (text[-1].isnumeric() or text[-1] == "."):
        return f"{text} {unit.value}"
    return value
