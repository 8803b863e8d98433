"""What a key of a job file is: its kind, its default, its limits, and the words for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

LONGEST_MM = 100_000.0  # a bolt of fabric is below 100 m; beyond it a length is a slip of the keyboard
SPREAD = "spread"  # fabrics stand round the plate as evenly as can be
AS_NEEDED = "as needed"  # a fabric's length that the search is to find


class Kind(Enum):
    """What a value is."""

    TEXT = "text"
    NAME = "name"
    LABEL = "1 to 40 characters of any script"
    LABELS = "list of such names"
    COUNT = "whole number"
    LENGTH = "length"
    LENGTHS = "list of lengths"
    CHOICE = "choice"
    CHOICES = "list of choices"
    FLAG = "true or false"
    NUMBER = "number"
    CUTS = "table of shapes and counts"
    CHOICE_BY_SHAPE = "choice, or table of shapes and choices"
    POINTS = "list of points"
    EDGE = "list of points, or text"
    AVOIDED = "list of tables"
    REPEAT = "table of width and length"
    SHRINK = "table of width and length in per cent"
    POINT = "point"
    LAYER = "table of name and colour"
    ORDER = '`"spread"`, or list of names of fabrics'


@dataclass(frozen=True, slots=True)
class Field:
    """One key.

    `default` is written as a user would; None is a key that may be left out for good, unless `required`.
    """

    key: str
    kind: Kind
    says: str
    default: str | float | tuple[str, ...] | None = None
    required: bool = False
    unless: str = ""  # not required where this key is given
    least: float = 0  # of a COUNT or NUMBER; a LENGTH of least 1 must be above 0
    most: float = 0
    choices: tuple[str, ...] = ()
    later: str = ""  # set: any other value than the default is refused with these words
    hints: tuple[tuple[str, str], ...] = ()  # part of a wrong choice, and what to add to the message then


@dataclass(frozen=True, slots=True)
class Table:
    """One table; a repeated one is written `[[name]]`."""

    name: str
    says: str
    fields: tuple[Field, ...]
    repeated: bool = False
    later: str = ""

    @property
    def label(self) -> str:
        """Its name as it is written in the file: `[job]`, `[[fabric]]`."""
        return f"[[{self.name}]]" if self.repeated else f"[{self.name}]"

    def field(self, key: str) -> Field:
        """Return the field of that key."""
        return next(field for field in self.fields if field.key == key)
