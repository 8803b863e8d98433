"""What the layers and blocks of a DXF mean where a trade has words of its own for them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.read_blocks import Blocks
from cutfiles.formats.dxf.read_pairs import Entity
from cutfiles.formats.model.drawing import Capabilities, Layer
from cutfiles.geometry.outline import Contour

Remark = tuple[Entity, Contour | Fault | None]  # for people; its line, if it is one


@dataclass(frozen=True, slots=True)
class Dialect:
    """A use of DXF with its own layers.

    Args:
        kind: what a file can say in it, and how exactly.
        layers: what each of its layers is for.
        repeats: layers whose lines repeat those of others, for a receiver to compare.
        notches: layers on which a POINT of a block is a notch in the edge of its piece.
        remarks: layers on which a line that is in no block is for people.
        words: kinds of entity that, on these layers, are for people and no lines.
        is_spoken: whether a file with these blocks is in it.
        piece_names: the piece in each block, by the block's name.
        quantities: how often each block's piece is to be cut, by the block's name, or the fault in it.
        of_remarks: what is wrong with the remarks, such as a square that isn't as large as it says.
    """

    kind: Capabilities
    layers: Mapping[str, Layer]
    repeats: frozenset[str]
    notches: frozenset[str]
    remarks: frozenset[str]
    words: frozenset[str]
    is_spoken: Callable[[Blocks], bool]
    piece_names: Callable[[Blocks], Mapping[str, str]]
    quantities: Callable[[Blocks], Mapping[str, int | Fault]]
    of_remarks: Callable[[Sequence[Remark]], Iterable[Fault]]
