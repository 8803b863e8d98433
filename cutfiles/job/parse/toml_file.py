"""A TOML file as text and as tables; what is wrong with it is said by its line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from cutfiles.core.errors import JobError

_LARGEST_BYTES = 1_000_000
_AT_LINE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_BARE_FRACTION = re.compile(r"=\s*(?:\d+[ -])?\d+/\d|=\s*\d*[½⅓⅔¼¾⅛⅜⅝⅞]|=\s*[\d.]+\s*(?:in|cm|mm|\")")

_BARE_COMMA = re.compile(r"=\s*[+-]?(?P<whole>\d+),(?P<part>\d+)(?![\d.])")


def text_of(path: Path) -> str:
    """Return what a file holds, UTF-8.

    Raises:
        JobError: it is too large, or no UTF-8.
        OSError: it can't be read.
    """
    with path.open("rb") as file:
        content = file.read(_LARGEST_BYTES + 1)
    if len(content) > _LARGEST_BYTES:
        raise JobError("", "is larger than 1 MB; a job file holds a few lines of text")
    try:
        return content.decode("utf-8-sig")  # some editors put a mark first
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise JobError(f"line {line}", "is not UTF-8 text; save the file as UTF-8") from None


def _hint(says: str) -> str:
    """What to do where the library says that something is wrong; it calls a second mention overwriting."""
    if says.startswith("Cannot overwrite"):
        return "the key is there already, further up; leave one of the two out"
    if says.startswith("Cannot declare"):
        return "it is there already; write its keys below one heading, or several fabrics as [[fabric]] each"
    return "write key = value, one a line"


def tables_of(text: str) -> dict[str, Any]:
    """Return what a TOML text holds.

    Raises:
        JobError: it is no TOML.
    """
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobError("", "is nested too deep to be a job file") from None
    except tomllib.TOMLDecodeError as error:
        match = _AT_LINE.search(str(error))
        says = _AT_LINE.sub("", str(error)) if match else str(error)
        where, hint = "", _hint(says)
        if match and match["line"]:
            where = f"line {match['line']}"
            line = text.splitlines()[int(match["line"]) - 1]
            if comma := _BARE_COMMA.search(line):
                whole, part = comma["whole"], comma["part"]
                hint = (
                    f'a number with a decimal comma stands in quotes, like "{whole},{part}"; '
                    f"without quotes it is written {whole}.{part}"
                )
            elif _BARE_FRACTION.search(line):
                hint = 'put a length with a fraction or a unit in quotes, like "4 3/4"'
        raise JobError(where, f"is not TOML: {says[:1].lower()}{says[1:]}; {hint}") from None
