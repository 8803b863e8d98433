"""How a piece may be turned on its fabric."""

from __future__ import annotations

from cutfiles.check.layout.layout import KnownFabric

# Six decimals of a degree, twice rounded.
LAYOUT_TURN_DEG = 1e-5


def turn_words(turn_deg: float, fabric: KnownFabric) -> str:
    """Return what is wrong with a turn."""
    allowed = " or ".join(f"{turn:g}" for turn in fabric.turns_deg or ()) or "none"
    return f"is turned by {turn_deg:.4f} degrees, allowed on {fabric.fabric}: {allowed}"
