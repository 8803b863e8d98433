"""How a piece may be turned on its fabric."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.check.layout.layout import KnownFabric

# Six decimals of a degree, twice rounded.
LAYOUT_TURN_DEG = 1e-5


def off_turn_deg(turn_deg: float, allowed: Sequence[float]) -> float:
    """Return by how much a turn misses the nearest allowed one, degrees; 360 where none is allowed."""
    return min((abs((turn_deg - turn + 180.0) % 360.0 - 180.0) for turn in allowed), default=360.0)


def turn_words(turn_deg: float, fabric: KnownFabric) -> str:
    """Return what is wrong with a turn."""
    allowed = " or ".join(f"{turn:g}" for turn in fabric.turns_deg or ()) or "none"
    return f"is turned by {turn_deg:.4f} degrees, allowed on {fabric.fabric}: {allowed}"
