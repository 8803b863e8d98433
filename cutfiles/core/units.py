"""Lengths as people write them, and back. Millimetres inside; the only conversion factors there are.

The yard is 0.9144 m exactly, so the inch is 25.4 mm: international yard and pound agreement, 1959, as in
NIST Special Publication 811.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import RULE_MM

MM_PER_INCH = 25.4
MM_PER_CM = 10.0
MM_PER_YARD = 914.4


class Unit(Enum):
    """What a bare number means in a job."""

    IN = "in"
    CM = "cm"
    MM = "mm"

    @property
    def mm(self) -> float:
        """How many millimetres one of it is."""
        return {Unit.IN: MM_PER_INCH, Unit.CM: MM_PER_CM, Unit.MM: 1.0}[self]

    @property
    def rough_mark_mm(self) -> float:
        """Between the marks that a rough cut is measured by: 1/8 in or 5 mm."""
        return MM_PER_INCH / 8 if self is Unit.IN else MM_PER_CM / 2

    @property
    def sold_by(self) -> SoldBy:
        """What fabric is sold by: 1/8 yd or 10 cm; common practice, no published source."""
        return SoldBy(MM_PER_YARD / 8, None) if self is Unit.IN else SoldBy(10 * MM_PER_CM, self)

    @property
    def sold_by_mm(self) -> float:
        """The step of that in mm."""
        return self.sold_by.step_mm


# How much one of a written unit is; none is the job's own. Nothing but fabric is measured in yards, so a job
# can't have them as its unit.
_SUFFIXES_MM = {
    '"': MM_PER_INCH,
    "″": MM_PER_INCH,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    "yd": MM_PER_YARD,
    "yard": MM_PER_YARD,
    "yards": MM_PER_YARD,
    "cm": MM_PER_CM,
    "mm": 1.0,
}
_VULGAR = {  # Unicode's one-character fractions that a rule or a pattern uses
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LENGTH = re.compile(
    r"""(?P<sign>[+-])?
        (?: (?P<whole>\d{1,9}) (?:\s+|\s*-\s*) (?P<top>\d{1,9}) \s*/\s* (?P<bottom>\d{1,9})
          | (?P<top_only>\d{1,9}) \s*/\s* (?P<bottom_only>\d{1,9})
          | (?P<decimal>\d{1,9}(?:[.,]\d{0,12})?|[.,]\d{1,12}) )
        \s* (?P<suffix>[^\s\d]*)""",
    re.VERBOSE,
)
# A comma between thousands, as in 1,000: read as a decimal one it would be a thousandth of what was meant.
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?!\d).*")
FORMS = '4.75, "4 3/4", "4¾ in", "1 1/2 yd", "120 mm" or "7,5 cm"'  # shown where a length is misread


def length_mm(written: object, unit: Unit) -> float:
    """Return a length in mm.

    Args:
        written: a number in `unit`, or text that may carry its own unit.
        unit: what a bare number means.

    Raises:
        GeometryError: the text is no length; the message says which forms are.

    >>> length_mm("4 3/4", Unit.IN) == length_mm("4¾ in", Unit.MM) == 120.65
    True
    >>> length_mm("7,5 cm", Unit.IN), length_mm("1 1/2 yd", Unit.CM)
    (75.0, 1371.6)
    """
    if isinstance(written, (int, float)) and not isinstance(written, bool):
        return _number_mm(written, unit)
    if not isinstance(written, str):
        raise GeometryError(f"{written!r} is not a length; write one like {FORMS}")
    text = written.strip().replace("⁄", "/")
    for sign, plain in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*-?\s*{sign}(?!\d)", f" {plain}", text)
        # "½4" must not become 1/24: a digit right behind a fraction leaves the sign, which is refused.
        text = re.sub(rf"{sign}(?!\d)", plain, text)
    match = _LENGTH.fullmatch(text)
    suffix = "" if match is None else match["suffix"].lower()
    if match is None or _THOUSANDS.fullmatch(text) or (suffix and suffix not in _SUFFIXES_MM):
        raise GeometryError(f"{written!r} is not a length; write one like {FORMS}")
    try:
        if match["decimal"] is not None:
            value = Fraction(match["decimal"].replace(",", "."))
        elif match["whole"] is not None:
            value = int(match["whole"]) + Fraction(int(match["top"]), int(match["bottom"]))
        else:
            value = Fraction(int(match["top_only"]), int(match["bottom_only"]))
    except ZeroDivisionError:
        raise GeometryError(f"{written!r} divides by zero; write one like {FORMS}") from None
    # One exact product, then one rounding: 1/16 in is the same double wherever it is written.
    result = float(value * Fraction(str(_SUFFIXES_MM[suffix] if suffix else unit.mm)))
    return -result if match["sign"] == "-" else result


def _number_mm(number: float, unit: Unit) -> float:
    try:
        # As for text: one exact product, so that 4.75 and "4 3/4" are the same double.
        return float(Fraction(repr(number)) * Fraction(str(unit.mm)))
    except (ValueError, OverflowError):  # NaN, infinity, or a whole number of hundreds of digits
        text = f"{number}" if isinstance(number, float) else "a number that large"
        raise GeometryError(f"{text} is not a length; write one like {FORMS}") from None


def _trimmed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def fraction_in(mm: float, *, parts: int = 16) -> str:
    """Return the nearest 1/`parts` inch as a ruler has it: `4 3/4`, `7/8`, `0`.

    >>> fraction_in(120.65), fraction_in(-3.175), fraction_in(0.1)
    ('4 3/4', '-1/8', '0')
    """
    count = round(abs(mm) / MM_PER_INCH * parts)
    whole, rest = divmod(count, parts)
    fraction = Fraction(rest, parts)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(f"{fraction.numerator}/{fraction.denominator}")
    return ("-" if mm < 0 and count else "") + " ".join(words)


def shown(mm: float, unit: Unit) -> str:
    """Return a length for people: inches to the nearest 1/16, with the decimal where that rounds.

    >>> shown(120.65, Unit.IN), shown(22.9156, Unit.IN), shown(22.9156, Unit.CM), shown(22.9156, Unit.MM)
    ('4 3/4 in', '7/8 in (0.9022)', '2.29 cm', '22.9 mm')
    """
    if unit is Unit.IN:
        nearest = round(mm / MM_PER_INCH * 16) / 16 * MM_PER_INCH
        text = f"{fraction_in(mm)} in"
        return text if abs(nearest - mm) <= RULE_MM else f"{text} ({mm / MM_PER_INCH:.4f})"
    return f"{_trimmed(mm / unit.mm, 2 if unit is Unit.CM else 1)} {unit.value}"


def in_both(mm: float, unit: Unit = Unit.MM) -> str:
    """Return a length in a unit, with inches beside metric and mm beside inches.

    >>> in_both(6.35), in_both(6.35, Unit.CM), in_both(6.35, Unit.IN)
    ('6.35 mm (0.25 in)', '0.635 cm (0.25 in)', '0.25 in (6.35 mm)')
    """
    inches, metric = f"{_trimmed(mm / MM_PER_INCH, 3)} in", f"{_trimmed(mm, 2)} mm"
    if unit is Unit.CM:
        metric = f"{_trimmed(mm / MM_PER_CM, 3)} cm"
    return f"{inches} ({metric})" if unit is Unit.IN else f"{metric} ({inches})"


class SizeError(GeometryError):
    """Sizes that can't be cut or sewn, to be told in the unit in which they were given.

    Args:
        says: the sentence, with `{}` for each length.
        lengths_mm: those lengths.

    >>> str(SizeError("a seam of {} is too wide", 6.35))
    'a seam of 6.35 mm (0.25 in) is too wide'
    >>> SizeError("a seam of {} is too wide", 6.35).said(Unit.IN)
    'a seam of 0.25 in (6.35 mm) is too wide'
    """

    def __init__(self, says: str, *lengths_mm: float) -> None:
        self._says, self._lengths_mm = says, lengths_mm
        super().__init__(self.said(Unit.MM))

    def said(self, unit: Unit) -> str:
        """Return the sentence with that unit first."""
        return self._says.format(*(in_both(mm, unit) for mm in self._lengths_mm))


def rounded_up_mm(mm: float, step_mm: float) -> float:
    """Return the first whole multiple of `step_mm` that is not below `mm`."""
    return math.ceil((mm - RULE_MM) / step_mm) * step_mm


def rounded_down_mm(mm: float, step_mm: float) -> float:
    """Return the last whole multiple of `step_mm` that is not above `mm`."""
    return math.floor((mm + RULE_MM) / step_mm) * step_mm


def sides_shown(width_mm: float, length_mm: float, unit: Unit) -> str:
    """Return a rectangle's two sides, the unit said once.

    >>> sides_shown(127.0, 215.9, Unit.IN), sides_shown(127.0, 215.0, Unit.CM)
    ('5 × 8 1/2 in', '12.7 × 21.5 cm')
    """
    width, length = shown(width_mm, unit), shown(length_mm, unit)
    return f"{width.removesuffix(f' {unit.value}')} × {length}"


def sold(mm: float, unit: Unit) -> str:
    """Return a length of fabric as a shop cuts it, rounded up, never down.

    >>> sold(400.0, Unit.IN), sold(914.4, Unit.IN), sold(401.0, Unit.CM)
    ('1/2 yd', '1 yd', '50 cm')
    """
    return unit.sold_by.words(mm)


@dataclass(frozen=True, slots=True)
class SoldBy:
    """In what steps a length of fabric is cut from the bolt, and in what unit a shop says it.

    >>> SoldBy(MM_PER_YARD / 8, None).words(27 * MM_PER_INCH), SoldBy(100.0, Unit.CM).words(685.8)
    ('3/4 yd', '70 cm')
    """

    step_mm: float
    unit: Unit | None  # None: yards

    def up_mm(self, mm: float) -> float:
        """Return the first length sold that is not below a length."""
        return rounded_up_mm(mm, self.step_mm)

    def words(self, mm: float) -> str:
        """Return a length as a shop cuts it, rounded up, never down."""
        up = self.up_mm(mm)
        if self.unit is not None:
            return shown(up, self.unit)
        # No shop cuts finer than a 64th of a yard; a third is one, a decimal in binary is none.
        yards = Fraction(up / MM_PER_YARD).limit_denominator(64)
        whole, rest = divmod(yards.numerator, yards.denominator)
        words = [str(whole)] if whole or not rest else []
        return " ".join([*words, *([f"{rest}/{yards.denominator}"] if rest else []), "yd"])


def sold_by(step_mm: float, written: object, unit: Unit) -> SoldBy:
    """Return steps as they are sold, in the unit that the text of their length carries, else in `unit`.

    >>> sold_by(228.6, "1/4 yd", Unit.CM).unit, sold_by(250.0, "25 cm", Unit.IN).unit
    (None, <Unit.CM: 'cm'>)
    """
    match = re.search(r"[^\s\d]*$", written.strip().lower()) if isinstance(written, str) else None
    suffix = match[0] if match else ""
    if suffix.startswith("y"):
        return SoldBy(step_mm, None)
    inches = suffix in _SUFFIXES_MM and _SUFFIXES_MM[suffix] == MM_PER_INCH
    metric = {"cm": Unit.CM, "mm": Unit.MM}.get(suffix, unit)
    return SoldBy(step_mm, Unit.IN if inches else metric)
