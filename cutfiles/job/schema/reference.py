"""The reference of the job file, made from the field table: `python -m cutfiles.job.schema.reference`."""

from __future__ import annotations

import sys

from cutfiles.core.units import FORMS
from cutfiles.job.schema.field import Field, Kind, Table
from cutfiles.job.schema.fields import AVOID, FABRIC, REPEAT, SHRINK, TABLES
from cutfiles.job.schema.output import LAYER, LAYERS

_HEAD = f"""\
# The job file

<!-- Made by `python -m cutfiles.job.schema.reference > docs/job-file.md`; a test compares the two. -->

A job is a text file in [TOML](https://toml.io) 1.0, saved as UTF-8. Only `[plate]` is required to see sizes;
to cut, there must be fabric as well. An unknown table or key is an error that names the nearest known one.

A length is a number in the job's unit, or text that may carry its own: {FORMS}.
A default given in inches is that length whatever the job's unit is.
"""


def reference() -> str:
    """Return the whole reference as Markdown."""
    parts = [_HEAD]
    for table in TABLES:
        parts.append(_table(table))
        if table is FABRIC:
            parts.append(_table(AVOID, heading="### `avoid` of a `[[fabric]]`"))
            parts.append(_table(REPEAT, heading="### `repeat` and `motif` of a `[[fabric]]`"))
            parts.append(_table(SHRINK, heading="### `shrink` of a `[[fabric]]`"))
        if table is LAYERS:
            parts.append(_table(LAYER, heading="### A layer of `[layers]`"))
    return "\n".join(parts)


def _table(table: Table, *, heading: str = "") -> str:
    if table.later:
        return f"## `{table.label}`\n\n{table.says} Not in this version: {table.later}.\n"
    often = " As many of these tables as you like." if table.repeated else ""
    rows = "\n".join(_row(field) for field in table.fields)
    head = "| key | value | default | meaning |\n|---|---|---|---|"
    heading = heading or f"## `{table.label}`"
    return f"{heading}\n\n{table.says}{often}\n\n{head}\n{rows}\n"


def _row(field: Field) -> str:
    says = f"{field.says} ({field.later})" if field.later else field.says
    return f"| `{field.key}` | {_allowed(field)} | {_default(field)} | {says} |"


def _allowed(field: Field) -> str:
    if field.kind is Kind.COUNT:
        allowed = f"whole number, {field.least} to {field.most}"
        return " or ".join((allowed, *(f'`"{word}"`' for word in field.choices)))
    if field.kind is Kind.NUMBER:
        return f"number, {field.least:g} to {field.most:g}"
    if field.kind is Kind.LENGTH:
        allowed = "length above 0" if field.least else "length, 0 or more"
        return " or ".join((allowed, *(f'`"{word}"`' for word in field.choices)))
    words = ", ".join(f"`{choice}`" for choice in field.choices)
    of_choices = {
        Kind.CHOICE: words,
        Kind.CHOICES: f"list of {words}",
        Kind.CHOICE_BY_SHAPE: f"{words}, or a table of shapes and these",
    }
    return of_choices.get(field.kind, str(field.kind.value))


def _default(field: Field) -> str:
    if field.required:
        return f"required without `{field.unless}`" if field.unless else "required"
    if field.default is None:
        return "–"
    if isinstance(field.default, bool):
        return f"`{str(field.default).lower()}`"
    if isinstance(field.default, tuple):
        return ", ".join(f"`{word}`" for word in field.default)
    return f"`{field.default:g}`" if isinstance(field.default, float) else f"`{field.default}`"


if __name__ == "__main__":
    sys.stdout.write(reference())
