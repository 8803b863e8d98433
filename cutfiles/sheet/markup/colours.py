"""Colours of the pictures: a coast at dusk. They only decorate; lines and letters carry the meaning."""

from __future__ import annotations

from collections.abc import Iterable

from cutfiles.job.model.job import FabricSpec

# Chosen for this project; all light enough for black lines and letters on them, in grey as well.
FABRICS = ("#7fb2bd", "#d8cdb8", "#a9bf86", "#e8b76a", "#b7a3c4", "#d99a83", "#8fa6cf", "#cfd6c4")
_SHADES = ((0, 0.0), (0, 0.2), (255, 0.55))  # towards black or white, and how far
CENTRE = "#e8b76a"
GROUND = "#f5f1e8"
INK = "#1d1d1d"
FAINT = "#6a6a6a"


def fabric_colours(fabrics: Iterable[FabricSpec]) -> dict[str, str]:
    """Return the colour of each fabric by its name, the same in every picture.

    Its own where the job gives one, else one of the sheet's in turn; of many fabrics those beyond the
    first eight have deeper ones, the next lighter ones, and beyond 24 they come again.
    """
    return {fabric.name: fabric.colour or _colour(index) for index, fabric in enumerate(fabrics)}


def _colour(index: int) -> str:
    round_, hue = divmod(index, len(FABRICS))
    towards, share = _SHADES[round_ % len(_SHADES)]
    channels = (int(FABRICS[hue][at : at + 2], 16) for at in (1, 3, 5))
    return "#" + "".join(f"{round(channel + (towards - channel) * share):02x}" for channel in channels)


def blade_colours(count: int, *, closed: bool) -> tuple[str, ...]:
    """Return a colour for each blade, in turn; neighbours differ, also where a ring closes."""
    choice = tuple(colour for colour in FABRICS if colour != CENTRE)[:5]
    sizes = [size for size in (5, 4, 3) if count % size == 0] or [5, 4]
    # With a remainder of 1 the last blade would lie beside the first of its own colour.
    size = next((size for size in sizes if not closed or count % size != 1), 3)
    return tuple(choice[number % size] for number in range(count))
