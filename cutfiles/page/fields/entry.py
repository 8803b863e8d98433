"""What a person types into a field, and the value that a job file has for it; and back."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Field, Kind, Table
from cutfiles.job.schema.output import LAYER
from cutfiles.page.fields.document import KeyPath, Value

_WHOLE = re.compile(r"[+-]?\d{1,15}")
_NUMBER = re.compile(r"[+-]?\d{1,15}([.,]\d{1,15})?")
_LONGEST = 20_000
# A value that is itself a table has a field for each of its keys.
INNER = {Kind.REPEAT: fields.REPEAT, Kind.SHRINK: fields.SHRINK, Kind.LAYER: LAYER}
# Those of a value that is a list of tables; its place has their number before the key.
LISTED = {Kind.AVOIDED: fields.AVOID}


def field_at(path: KeyPath) -> Field:
    """Return the field of a place.

    Raises:
        JobError: there is no such key.
    """
    where = ".".join(str(step) for step in path)
    keys = [step for step in path if isinstance(step, str)]
    tables = {table.name: table for table in fields.TABLES}
    if len(keys) < 2 or keys[0] not in tables:
        raise JobError(where, "there is no such key")
    field = _field(tables[keys[0]], keys[1], where)
    if field.kind in (Kind.CUTS, Kind.CHOICE_BY_SHAPE) and len(keys) == 3:
        return field
    if field.kind in LISTED and len(keys) == 3 and len(path) > 2 and isinstance(path[-2], int):
        return _field(LISTED[field.kind], keys[2], where)
    for key in keys[2:]:
        if field.kind not in INNER:
            raise JobError(where, "there is no such key")
        field = _field(INNER[field.kind], key, where)
    return field


def _field(table: Table, key: str, where: str) -> Field:
    for field in table.fields:
        if field.key == key:
            return field
    raise JobError(where, "there is no such key")


def value_of(field: Field, text: str) -> Value | None:
    """Return the value that a job file has for what was typed; None for nothing.

    What is no number where one is wanted goes into the file as text: the reader says what is wrong with it.
    """
    text = text.strip()[:_LONGEST]
    if not text:
        return None
    convert = _CONVERTED.get(field.kind)
    return text if convert is None or (field.kind is Kind.ORDER and text == field.default) else convert(text)


def _whole(text: str) -> Value:
    return int(text) if _WHOLE.fullmatch(text) else text


def _length(text: str) -> Value:
    return _number(text) if _NUMBER.fullmatch(text) and "," not in text else text


def _decimal(text: str) -> Value:
    return _number(text.replace(",", ".")) if _NUMBER.fullmatch(text) else text


def _flag(text: str) -> Value:
    return {"true": True, "false": False}.get(text, text)


def _names(text: str) -> Value:
    return [name for part in text.split(",") if (name := part.strip())]


def _lengths(text: str) -> Value:
    if text.startswith("["):
        return _written(text)
    # "7,5 cm, 8 cm": a comma between lengths has a blank after it, or stands for itself as a semicolon.
    return [_length(part.strip()) for part in re.split(r";|,\s+", text) if part.strip()]


def _number(text: str) -> int | float:
    return int(text) if _WHOLE.fullmatch(text) else float(text)


def _written(text: str) -> Value:
    if not text.startswith(("[", "{")):
        return text
    try:
        value: Value = tomllib.loads(f"value = {text}\n")["value"]
    except (tomllib.TOMLDecodeError, RecursionError):
        return text
    return value


_CONVERTED: dict[Kind, Callable[[str], Value]] = {
    Kind.COUNT: _whole, Kind.CUTS: _whole, Kind.LENGTH: _length, Kind.NUMBER: _decimal, Kind.FLAG: _flag,
    # As in the job file:
    Kind.POINTS: _written, Kind.EDGE: _written, Kind.AVOIDED: _written,
    # With commas between:
    Kind.LABELS: _names, Kind.ORDER: _names, Kind.LENGTHS: _lengths, Kind.POINT: _lengths,
}  # fmt: skip


def shown(value: object) -> str:
    """Return a value as a person would type it.

    >>> shown(4.75), shown("4 3/4"), shown(["tide", "shingle"]), shown([[0, 0], [5, 0]]), shown(None)
    ('4.75', '4 3/4', 'tide, shingle', '[[0, 0], [5, 0]]', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, list) and all(_is_plain(part) for part in value):
        return ", ".join(map(shown, value))
    return _as_toml(value) if isinstance(value, (list, dict)) else str(value)


def _is_plain(value: object) -> bool:
    return isinstance(value, (str, int, float)) and not isinstance(value, bool)


def _as_toml(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_as_toml(part) for part in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_as_toml(part)}' for key, part in value.items())} }}"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else shown(value)
