"""DXF of the sewn trade: a block a piece, and layers that are numbers.

Source: ASTM D6673-10 (withdrawn 2019), from memory: 1 boundary, 2 turn points, 3 curve points, 4 notches,
7 grain, 8 internal lines, 14 sew lines, 15 annotation, 84 and 87 the lines of 1 and 14 once more; a piece's
name is a text in its block.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cutfiles.core.tolerance import FILE_MM, SEWN_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.dialect import Dialect, Remark
from cutfiles.formats.dxf.read import read_dxf
from cutfiles.formats.dxf.read_blocks import BlockDefinition, Blocks
from cutfiles.formats.model.drawing import Capabilities, Layer, Marks, Names, Reading
from cutfiles.geometry.outline import Path, bounds

_LAYERS = {"1": Layer.CUT, **dict.fromkeys(("2", "3", "4", "7", "8", "14", "15"), Layer.DRAW)}
_PIECE_NAME, _QUANTITY = "piece name:", "quantity:"
_NUMBER = re.compile(r"[1-9][0-9]{0,4}(?![0-9])")
_SQUARE = re.compile(r"This square is ([0-9]{1,4}(?:\.[0-9]{1,4})?) mm")


def read_any_dxf(content: bytes, *, layers: Names | None = None) -> Reading:
    """Return the drawing of a DXF; by its blocks it is known whether it is one of the sewn trade.

    The end of a file's name says nothing of that in files of other programs. Args and errors as `read_dxf`.
    """
    return read_dxf(content, layers=layers, dialects=(SEWN,))


def is_sewn(blocks: Blocks) -> bool:
    """Return whether blocks hold pieces as the sewn trade writes them."""
    return any(
        entity.text(8) in ("1", "14") for block in blocks.by_name.values() for entity in block.entities
    )


def piece_names(blocks: Blocks) -> dict[str, str]:
    """Return the name of the piece in each block: what its text says, or the block's own."""
    return {name: _name(block) or name for name, block in blocks.by_name.items()}


def quantities(blocks: Blocks) -> dict[str, int | Fault]:
    """Return how often each block's piece is to be cut; once where it doesn't say."""
    return {name: _quantity(block) for name, block in blocks.by_name.items()}


def square_faults(remarks: Sequence[Remark]) -> Iterator[Fault]:
    """Yield a fault where the remarks say that a square is so many mm, and no closed line of theirs is."""
    boxes = [bounds(path) for _, path in remarks if isinstance(path, Path) and path.closed]
    sides = [(box[2] - box[0], box[3] - box[1]) for box in boxes]
    for entity, _ in remarks:
        says = _SQUARE.fullmatch(entity.text(1).strip()) if entity.kind == "TEXT" else None
        if says is None:
            continue
        side_mm = float(says[1])
        if not any(max(abs(across - side_mm), abs(up - side_mm)) <= FILE_MM for across, up in sides):
            found = " and ".join(f"{across:.4g} by {up:.4g} mm" for across, up in sides[:3]) or "missing"
            yield Fault(Code.TRUE_SIZE, f"line {entity.line}", f"the square of {side_mm:g} mm is {found}")


def _name(block: BlockDefinition) -> str | None:
    return next((name for name in _said(block, _PIECE_NAME) if name), None)


def _quantity(block: BlockDefinition) -> int | Fault:
    says = next(_said(block, _QUANTITY), "1")
    number = _NUMBER.match(says)
    if number is not None:
        return int(number[0])
    return Fault(Code.NOT_A_NUMBER, "", f"its quantity {says[:20]!r} is no number from 1 to 99999")


def _said(block: BlockDefinition, begin: str) -> Iterator[str]:
    """What stands in the texts of a block behind their first words."""
    texts = (entity.text(1).strip() for entity in block.entities if entity.kind == "TEXT")
    return (text[len(begin) :].strip() for text in texts if text.lower().startswith(begin))


SEWN = Dialect(
    kind=Capabilities(
        within_mm=SEWN_MM,
        pair_mm=2 * SEWN_MM,
        has_ids=True,
        has_size=False,
        has_arcs=False,
        marks=Marks.NONE,
        has_order=False,
        for_machine=False,
    ),
    layers=_LAYERS,
    repeats=frozenset(("84", "87")),
    notches=frozenset(("4",)),
    remarks=frozenset(("15",)),
    # On those layers they are words and marks for people, beside the lines.
    words=frozenset(("TEXT", "MTEXT", "POINT", "ATTRIB")),
    is_spoken=is_sewn,
    piece_names=piece_names,
    quantities=quantities,
    of_remarks=square_faults,
)
