"""The only place where numbers become text in a file: rounded, without exponents, never NaN."""

from __future__ import annotations

import math

from cutfiles.core.errors import GeometryError

DECIMALS = 4  # of a mm: a ten-thousandth is far below what any machine resolves


def number(value: float, places: int = DECIMALS) -> str:
    """Return a number for a file, at most so many decimals.

    Raises:
        GeometryError: NaN or infinite.

    >>> number(25.4), number(-0.00001), number(1 / 3)
    ('25.4', '0', '0.3333')
    """
    if not math.isfinite(value):
        raise GeometryError(f"{value} can't be written into a file")
    text = f"{value:.{places}f}"
    if text[-1] != "0":  # most numbers: there are hundreds of thousands in a file
        return text
    text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def rounded(value: float, places: int) -> float:
    """Return the value rounded, without a negative zero.

    Raises:
        GeometryError: NaN or infinite.
    """
    if not math.isfinite(value):
        raise GeometryError(f"{value} can't be written into a file")
    return round(value, places) + 0.0
