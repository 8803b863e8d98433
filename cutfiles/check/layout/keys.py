"""JSON values with the path of keys to them, so that a fault can say where it is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from cutfiles.core.tolerance import MOST_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault


class WrongError(Exception):
    """Something in the layout can't be: the fault says what."""

    def __init__(self, code: Code, key: str, says: str) -> None:
        self.fault = Fault(code, key, says)
        super().__init__(says)


@dataclass(frozen=True, slots=True)
class Key:
    """A JSON value and the path of keys to it."""

    value: Any
    path: str

    def find(self, key: str, default: Any = ...) -> Key:
        """Return the value of a key of an object, or the default where there is none."""
        if not isinstance(self.value, dict):
            raise WrongError(Code.BAD_LAYOUT, self.path, "is no object")
        path = f"{self.path}.{key}" if self.path else key
        if key not in self.value:
            if default is ...:
                raise WrongError(Code.BAD_LAYOUT, path, "is missing")
            return Key(default, path)
        return Key(self.value[key], path)

    def each(self) -> list[Key]:
        """Return the values of a list."""
        if not isinstance(self.value, list):
            raise WrongError(Code.BAD_LAYOUT, self.path, "is no list")
        return [Key(value, f"{self.path}.{index + 1}") for index, value in enumerate(self.value)]

    def number(self) -> float:
        """Return a finite number that is not huge."""
        if isinstance(self.value, bool) or not isinstance(self.value, (int, float)):
            raise WrongError(Code.BAD_LAYOUT, self.path, "is no number")
        if not math.isfinite(self.value if isinstance(self.value, float) else 0.0):
            raise WrongError(Code.NOT_A_NUMBER, self.path, f"is {self.value}, not a finite number")
        if abs(self.value) > MOST_MM:
            raise WrongError(Code.HUGE_NUMBER, self.path, f"is beyond {MOST_MM:g}")
        return float(self.value)

    def size(self) -> float:
        """Return a number above 0."""
        number = self.number()
        if not number > 0:
            raise WrongError(Code.BAD_LAYOUT, self.path, f"is {number:g}, not above 0")
        return number

    def length(self) -> float:
        """Return a number of 0 or more."""
        number = self.number()
        if number < 0:
            raise WrongError(Code.BAD_LAYOUT, self.path, f"is {number:g}, below 0")
        return number

    def text(self) -> str:
        """Return a text."""
        if not isinstance(self.value, str):
            raise WrongError(Code.BAD_LAYOUT, self.path, "is no text")
        return self.value

    def count(self) -> int:
        """Return a whole number of 0 or more."""
        number = self.number()
        if number < 0 or number != int(number):
            raise WrongError(Code.BAD_LAYOUT, self.path, f"is {number:g}, no count")
        return int(number)
