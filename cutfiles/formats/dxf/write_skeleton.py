"""A DXF with nothing drawn in it yet, made by ezdxf: header, tables, blocks and objects.

Thousands of entities would take ezdxf a minute, each an object of its own; so it makes the rest, once for
all loads of a job, section by section, and the entities between them are text of ours (`write_entities.py`).
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache

import ezdxf
from ezdxf.document import Drawing
from ezdxf.lldxf.tagwriter import TagWriter

from cutfiles.core.silence import silent
from cutfiles.formats.model.numbers import DECIMALS, rounded

_MILLIMETRES = 4
_METRIC = 1
_BLOCKS = "  0\nSECTION\n  2\nBLOCKS\n"
_ENTITIES = "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"
_END = "  0\nENDSEC\n"


@dataclass(frozen=True, slots=True)
class Skeleton:
    """What ezdxf writes of a drawing, section by section, around what is drawn."""

    before_seed: str  # up to the value of $HANDSEED
    before_blocks: str  # from there to the blocks
    spaces: str  # the definitions of model space and paper space
    after: str  # the sections behind the entities
    model: str  # handle of the block record that owns what is drawn; empty in R12
    free_handle: int  # the first that nothing has

    def filled(self, entities: str, *, next_handle: int, blocks: str | None = None) -> bytes:
        """Return a whole DXF.

        Args:
            entities: what is drawn.
            next_handle: the first that nothing has now.
            blocks: block definitions in place of those of the spaces, which R12 does without.
        """
        seed = f"  5\n{next_handle:X}\n"
        within = self.spaces if blocks is None else blocks
        parts = (
            self.before_seed, seed, self.before_blocks,
            _BLOCKS, within, _ENTITIES, entities, _END, self.after,
        )  # fmt: skip
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
            document.update_all()
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    is_r12 = document.dxfversion == "AC1009"
    header = _Header(document.dxfversion)
    document.header.export_dxf(header)
    before_blocks, spaces, after = (_Sections(document.dxfversion) for _ in range(3))
    if not is_r12:
        document.classes.export_dxf(before_blocks)
        document.objects.export_dxf(after)
    document.tables.export_dxf(before_blocks)
    for block in document.blocks:
        block.block_record.export_block_definition(spaces)
    after.write_tag2(0, "EOF")
    return Skeleton(
        before_seed=header.before,
        before_blocks=header.text() + before_blocks.text(),
        spaces=spaces.text(),
        after=after.text(),
        model="" if is_r12 else document.modelspace().layout_key,
        free_handle=int(str(document.entitydb.handles), 16),
    )


class _Sections(TagWriter):
    """What ezdxf writes, as text."""

    def __init__(self, version: str) -> None:
        self._text = io.StringIO()
        super().__init__(self._text, dxfversion=version)

    def text(self) -> str:
        return self._text.getvalue()


class _Header(_Sections):
    """The header, which parts before the value of $HANDSEED: it depends on what is drawn."""

    before = ""
    _is_seed = False

    def write_tag2(self, code: int, value: object) -> None:
        super().write_tag2(code, value)
        self._is_seed = (code, value) == (9, "$HANDSEED")

    def write_str(self, s: str) -> None:
        if not self._is_seed:
            super().write_str(s)
            return
        self.before = self.text()
        self._is_seed = False
        self._text.seek(0)
        self._text.truncate()


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
