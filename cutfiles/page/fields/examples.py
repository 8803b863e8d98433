"""Jobs to begin with, each a file in `examples/`; its first line says what it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).parent / "examples"
_NAMES = ("runner", "scraps", "corner", "by-hand", "templates")  # as they are offered


@dataclass(frozen=True, slots=True)
class Example:
    """A job to begin with: its name in addresses, what a person is told of it, and its text."""

    name: str
    says: str
    text: str


@cache
def examples() -> tuple[Example, ...]:
    """Return all examples."""
    return tuple(_example(name) for name in _NAMES)


def example(name: str) -> Example | None:
    """Return the example of that name, None if there is none."""
    return next((known for known in examples() if known.name == name), None)


def _example(name: str) -> Example:
    text = (_FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    return Example(name, text.splitlines()[0].removeprefix("# "), text)
