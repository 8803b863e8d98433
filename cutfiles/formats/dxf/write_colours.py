"""The colour of a DXF layer: the AutoCAD colour index (ACI) nearest to a colour of red, green and blue.

DXF 2000 and R12 have no other: true colours (group 420) came with DXF 2004 (Autodesk, DXF reference,
revision history).
"""

from __future__ import annotations

from functools import lru_cache

from ezdxf.colors import DXF_DEFAULT_COLORS, int2rgb

_BLACK_OR_WHITE = 7  # whichever the reader's paper isn't


@lru_cache(maxsize=8)
def colour_indices(colours: tuple[str, ...]) -> tuple[int, ...]:
    """Return an index for each colour such as `#0072B2`: the nearest that none before it has taken."""
    taken: list[int] = []
    for colour in colours:
        red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))

        def far(index: int, wanted: tuple[int, int, int] = (red, green, blue)) -> tuple[int, int]:
            shown = int2rgb(DXF_DEFAULT_COLORS[index])
            apart = sum((a - b) ** 2 for a, b in zip(wanted, shown, strict=True))
            if index == _BLACK_OR_WHITE:
                apart = min(apart, sum(part**2 for part in wanted))
            return apart, index

        taken.append(min((index for index in range(1, 256) if index not in taken), key=far))
    return tuple(taken)
