"""A length a little longer or shorter, for who would rather press than type."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in, length_mm
from cutfiles.page.document import Path, at
from cutfiles.page.entry import field_at


def stepped(tables: Mapping[str, Any], path: Path, *, up: bool) -> str:
    """Return a length 1/8 in (2 mm in a metric job) longer or shorter, on a whole step, and never below 0.

    Raises:
        JobError: what stands there is no length, or nothing does.
    """
    job = tables.get("job", {})
    written = job.get("unit") if isinstance(job, dict) else None
    unit = next((known for known in Unit if known.value == written), Unit.IN)
    value = at(tables, path)
    try:
        mm = length_mm(field_at(path).default if value is None else value, unit)
    except GeometryError:
        raise JobError(".".join(map(str, path)), "has no length yet; write one first") from None
    step_mm = MM_PER_INCH / 8 if unit is Unit.IN else 2.0
    steps = mm / step_mm
    # From between two steps to the next one, from on a step to its neighbour.
    whole = math.floor(steps + 1e-6) + 1 if up else math.ceil(steps - 1e-6) - 1
    mm = max(0, whole) * step_mm
    if unit is Unit.IN:
        return fraction_in(mm)
    return f"{mm / (10 if unit is Unit.CM else 1):.4g}"
