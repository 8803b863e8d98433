"""A length a little longer or shorter, for people who press rather than type."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in, length_mm
from cutfiles.page.fields.document import KeyPath, at
from cutfiles.page.fields.entry import field_at


def stepped(tables: Mapping[str, Any], path: KeyPath, *, up: bool) -> str:
    """Return a length 1/8 in (2 mm in a metric job) longer or shorter, on a whole step, and never below 0.

    Raises:
        JobError: what stands there is no length, or nothing does.
    """
    unit = unit_of(tables)
    value = at(tables, path)
    try:
        mm = length_mm(field_at(path).default if value is None else value, unit)
    except GeometryError:
        raise JobError(".".join(map(str, path)), "has no length yet; write one first") from None
    step_mm = _step_mm(unit)
    steps = mm / step_mm
    # From between two steps to the next one, from on a step to its neighbour.
    whole = math.floor(steps + 1e-6) + 1 if up else math.ceil(steps - 1e-6) - 1
    return as_written(max(0, whole) * step_mm, unit)


def unit_of(tables: Mapping[str, Any]) -> Unit:
    """Return what a number without a unit means in a job, as far as its text can be read."""
    named = at(tables, ("job", "unit"))
    return next((known for known in Unit if known.value == named), Unit.IN)


def as_written(mm: float, unit: Unit) -> str:
    """Return a length as a person writes it in a job of that unit.

    >>> as_written(120.65, Unit.IN), as_written(120, Unit.CM), as_written(118, Unit.MM)
    ('4 3/4', '12', '118')
    """
    return fraction_in(mm) if unit is Unit.IN else f"{mm / (10 if unit is Unit.CM else 1):.4g}"


def on_a_mark(mm: float, unit: Unit) -> str:
    """Return a length rounded to a mark of the rule: 1/8 in, or 2 mm in a metric job."""
    step_mm = _step_mm(unit)
    return as_written(round(mm / step_mm) * step_mm, unit)


def _step_mm(unit: Unit) -> float:
    return MM_PER_INCH / 8 if unit is Unit.IN else 2.0
