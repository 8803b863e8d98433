"""A DXF with nothing drawn in it yet, made by ezdxf: header, tables, blocks and objects.

Thousands of entities would take ezdxf a minute, each an object of its own; so it makes the rest, once for
all loads of a job, and the entities are text of ours (`dxf_entities.py`).
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache

import ezdxf
from ezdxf.document import Drawing

from cutfiles.core.silence import silent
from cutfiles.formats.model.numbers import DECIMALS, rounded

_MILLIMETRES = 4
_METRIC = 1
_SEED = "$HANDSEED\n  5\n"
_AFTER_BLOCKS = "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"


@dataclass(frozen=True, slots=True)
class Skeleton:
    """The text around what is drawn."""

    before_seed: str  # up to the value of $HANDSEED
    before_blocks: str  # from there to the end of the blocks
    after: str  # what follows the last entity
    model: str  # handle of the block record that owns what is drawn; empty in R12
    free_handle: int  # the first that nothing has

    def filled(self, entities: str, *, next_handle: int, blocks: str = "") -> bytes:
        """Return a whole DXF.

        Args:
            entities: what is drawn.
            next_handle: the first that nothing has now.
            blocks: more block definitions.
        """
        seed = f"{next_handle:X}"
        parts = (self.before_seed, seed, self.before_blocks, blocks, _AFTER_BLOCKS, entities, self.after)
        return "".join(parts).encode("ascii")


@dataclass(frozen=True, slots=True)
class DxfLayer:
    """A layer's name and its colour index."""

    name: str
    colour: int


@lru_cache(maxsize=8)
def skeleton(version: str, *, width_mm: float, height_mm: float, layers: tuple[DxfLayer, ...]) -> Skeleton:
    """Return an empty DXF whose limits and extents are the mat.

    Args:
        version: R12 or R2000.
        width_mm: of the mat.
        height_mm: of the mat.
        layers: besides those that every DXF has.
    """
    before = ezdxf.options.write_fixed_meta_data_for_testing
    # Without it every file differs by its dates and GUIDs.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        # A new R12 drawing warns that R12 holds no unit. `docs/files-and-layers.md` says so where it helps.
        with silent("ezdxf"):
            document = ezdxf.new(version)
            _set_header(document, rounded(width_mm, DECIMALS), rounded(height_mm, DECIMALS))
            for layer in layers:
                document.layers.add(layer.name, color=layer.colour)
            stream = io.StringIO()
            document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    before_seed, rest = stream.getvalue().split(_SEED)
    seed, rest = rest.split("\n", 1)
    before_blocks, after = rest.split(_AFTER_BLOCKS)
    is_r12 = document.dxfversion == "AC1009"
    return Skeleton(
        before_seed=before_seed + _SEED,
        before_blocks="\n" + before_blocks,
        after=after,
        model="" if is_r12 else document.modelspace().layout_key,
        free_handle=int(seed, 16),
    )


def _set_header(document: Drawing, width: float, height: float) -> None:
    # R12 has no variable for either.
    if document.dxfversion != "AC1009":
        document.header["$INSUNITS"] = _MILLIMETRES
        document.header["$MEASUREMENT"] = _METRIC
    # On writing, ezdxf sets the header's limits and extents to those of the modelspace; but to extents
    # that begin at zero it doesn't, so the header needs them as well.
    space = document.modelspace()
    space.reset_limits((0.0, 0.0), (width, height))
    space.reset_extents((0.0, 0.0, 0.0), (width, height, 0.0))
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)
