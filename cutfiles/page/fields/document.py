"""The text of a job, changed one key at a time; comments and order survive."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterable, Mapping, MutableMapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from cutfiles.core.errors import JobError

KeyPath = tuple[str | int, ...]  # such as ("fabric", 0, "cuts", "blade")
Value = str | int | float | bool | list[Any] | dict[str, Any]


def tables_of(text: str) -> Mapping[str, Any]:
    """Return what a text holds; nothing if it is no TOML, which the reader of jobs will say."""
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return {}


def at(tables: Mapping[str, Any], path: KeyPath) -> object:
    """Return what stands at a place, None if nothing does."""
    found: Any = tables
    for step in path:
        if isinstance(step, int):
            if not isinstance(found, list) or not 0 <= step < len(found):
                return None
            found = found[step]
        elif isinstance(found, Mapping) and step in found:
            found = found[step]
        else:
            return None
    return found


def with_value(text: str, path: KeyPath, value: Value | None) -> str:
    """Return the text with a key set; None takes it out, and an inner table that is then empty with it.

    Raises:
        JobError: the text is no TOML, or the place isn't there.
    """
    return with_values(text, [(path, value)])


def with_values(text: str, changes: Iterable[tuple[KeyPath, Value | None]]) -> str:
    """Return the text with several keys set or taken out, one after the other.

    Raises:
        JobError: the text is no TOML, or a place isn't there.
    """
    document = _read(text)
    for path, value in changes:
        _put(document, path, value)
    return tomlkit.dumps(document)


def _put(document: MutableMapping[str, Any], path: KeyPath, value: Value | None) -> None:
    *way, key = path
    assert isinstance(key, str)
    parent = _walked(document, tuple(way), make=value is not None)
    if isinstance(parent, list):
        raise JobError(".".join(str(step) for step in way), "is no table")
    if value is not None:
        parent[key] = _inline(value)
    elif parent is not None and key in parent:
        del parent[key]
        # Such as the last of a fabric's cuts; a flaw stays until it is removed as a whole.
        if len(way) > 2 and not parent and isinstance(way[-1], str):
            _walked(document, tuple(way[:-1]), make=False).pop(way[-1])


def with_table(text: str, name: str) -> str:
    """Return the text with an empty table of that name, unless there is one.

    Raises:
        JobError: the text is no TOML.
    """
    document = _read(text)
    _walked(document, (name,), make=True)
    return tomlkit.dumps(document)


def with_tables(text: str, name: str, tables: Iterable[Mapping[str, Value]]) -> str:
    """Return the text with more tables of those that may come again, such as `[[fabric]]`.

    Raises:
        JobError: the text is no TOML, or something else has that name.
    """
    document = _read(text)
    if not isinstance(document.get(name, []), list):
        raise JobError(name, f"write each one as [[{name}]], in double brackets")
    if name not in document:
        document.append(name, tomlkit.aot())
    array: Any = document[name]
    for values in tables:
        table = tomlkit.table()
        for key, value in values.items():
            table.append(key, _inline(value))
        table.add(tomlkit.nl())
        array.append(table)
    return tomlkit.dumps(document)


def with_inner(text: str, path: KeyPath, values: Mapping[str, Value]) -> str:
    """Return the text with one more table in a list inside another, such as `("fabric", 0, "avoid")`.

    Raises:
        JobError: the text is no TOML, the place isn't there, or something other than tables is.
    """
    document = _read(text)
    *way, key = path
    parent: Any = _walked(document, tuple(way), make=False)
    if not isinstance(parent, MutableMapping):
        raise JobError(str(path[0]), "is no longer there")
    if key not in parent:
        parent[key] = tomlkit.array()
    array = parent[key]
    if not isinstance(array, list) or not all(isinstance(entry, MutableMapping) for entry in array):
        raise JobError(".".join(str(step) for step in path), "is no list of tables; mend it as text first")
    table: Any = tomlkit.table() if isinstance(array, AoT) else tomlkit.inline_table()
    table.update(values)
    array.append(table)
    return tomlkit.dumps(document)


def with_each_alone(text: str, path: KeyPath, several: str, single: str) -> str:
    """Return the text with a table that has a list of names made into one table for each of them.

    Args:
        text: of the job.
        path: of the table, such as `("fabric", 1)`.
        several: the key with the list.
        single: the key that each of the new tables has in its place.

    Raises:
        JobError: the text is no TOML, or there is no such table with a list.
    """
    document = _read(text)
    name, index = path
    table: Any = at(document, path)
    names = table.get(several) if isinstance(table, Mapping) else None
    if not isinstance(names, list) or not isinstance(index, int):
        raise JobError(str(name), "is no longer there")
    array: Any = document[str(name)]
    del array[index]
    for number, each in enumerate(names):
        alone = tomlkit.table()
        for key, value in {single: each, **{key: table[key] for key in table if key != several}}.items():
            alone.append(key, copy.deepcopy(value))
        alone.add(tomlkit.nl())
        array.insert(index + number, alone)
    return tomlkit.dumps(document)


def without(text: str, path: KeyPath) -> str:
    """Return the text without a table, such as `("fabric", 1)`; a list goes with its last.

    Raises:
        JobError: the text is no TOML, or the table isn't there.
    """
    document = _read(text)
    if at(document, path) is None:
        raise JobError(str(path[0]), "is no longer there")
    *way, last = path
    parent: Any = _walked(document, tuple(way), make=False)
    del parent[last]
    if isinstance(last, int) and not parent:
        del _walked(document, tuple(way[:-1]), make=False)[way[-1]]
    return tomlkit.dumps(document)


def _read(text: str) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, RecursionError):
        raise JobError("", "is not TOML; mend it as text first") from None


def _inline(value: Value) -> Any:
    if not isinstance(value, dict):
        return value
    table = tomlkit.inline_table()
    table.update(value)
    return table


def _walked(document: MutableMapping[str, Any], way: KeyPath, *, make: bool) -> Any:
    here: Any = document
    for depth, step in enumerate(way):
        if isinstance(step, int):
            if not isinstance(here, list) or not 0 <= step < len(here):
                raise JobError(str(way[0]), "is no longer there")
            here = here[step]
            continue
        if isinstance(here, list):
            raise JobError(".".join(str(part) for part in way[:depth]), "is no table")
        if step not in here:
            if not make:
                return None
            here[step] = tomlkit.table() if depth == 0 else tomlkit.inline_table()
        here = here[step]
        if depth < len(way) - 1 and not isinstance(here, (MutableMapping, list)):
            raise JobError(".".join(str(part) for part in way), "is no table")
    if not isinstance(here, (MutableMapping, list)):
        raise JobError(".".join(str(part) for part in way), "is no table; take it out of the text first")
    return here
