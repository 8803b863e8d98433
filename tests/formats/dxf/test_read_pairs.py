"""A DXF taken apart: the same however much of it is taken at a time, and however its lines are written."""

from __future__ import annotations

import pytest

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.formats.dxf import read_pairs
from cutfiles.formats.dxf.read import read_dxf
from cutfiles.formats.dxf.read_pairs import stretches
from cutfiles.formats.model.drawing import Layer, Reading

LINES = "".join(
    f"  0\nLINE\n  8\n{'DRAW' if number % 3 else 'draw '}\n"
    f" 10\n{number}.25\n 20\n5\n 11\n{number}.5\n 21\n-6.125\n"
    for number in range(40)
)
OUTLINE = (
    "  0\nLWPOLYLINE\n  8\nCUT\n 90\n3\n 70\n1\n 10\n0.0\n 20\n0.0\n 10\n9.0\n 20\n0.0\n 10\n0.0\n 20\n7.5\n"
)
WHOLE = (
    "999\na comment before all\n999\n0\n  0\nSECTION\n  2\nENTITIES\n"
    f"{LINES}{OUTLINE}{LINES}  0\nENDSEC\n  0\nEOF\n"
)


def _pairs(text: str) -> list[tuple[int, list[tuple[int, bytes]]]]:
    """By line of its code 0, the pairs of each entity."""
    entities: list[tuple[int, list[tuple[int, bytes]]]] = []
    for stretch in stretches(text.encode()):
        for index, code in enumerate(stretch.codes.tolist()):
            if code == 0:
                entities.append((stretch.line + 2 * index, []))
            entities[-1][1].append((code, stretch.value(index)))
    return entities


def _by_hand(text: str) -> list[tuple[int, list[tuple[int, bytes]]]]:
    lines = text.split("\n")
    entities: list[tuple[int, list[tuple[int, bytes]]]] = []
    for number in range(0, len(lines) - 1, 2):
        code, value = int(lines[number]), lines[number + 1].rstrip().encode()
        if code == 0:
            entities.append((number + 1, []))
        if entities:
            entities[-1][1].append((code, value))
    return entities


@pytest.mark.parametrize("size", [1, 7, 60, 150, 1000, 4_000_000])
def test_pairs_are_the_same_however_much_is_read_at_a_time(
    size: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where less is read at a time than one entity has."""
    monkeypatch.setattr(read_pairs, "CHUNK_BYTES", size)
    assert _pairs(WHOLE) == _by_hand(WHOLE)


@pytest.mark.parametrize("size", [1, 150, 4_000_000])
@pytest.mark.parametrize("behind", ["", "\r", " \t", " " * 40])
def test_blanks_behind_lines_mean_nothing(size: int, behind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor do returns of another system's lines."""
    monkeypatch.setattr(read_pairs, "CHUNK_BYTES", size)
    assert _pairs(WHOLE.replace("\n", f"{behind}\n")) == _by_hand(WHOLE)


@pytest.mark.parametrize(
    "ways", [("  0", "0"), (" 10", "     10"), ("  8", "\t8"), (" 21", "+21"), (" 20", "0020")]
)
def test_group_codes_are_numbers_however_they_are_written(ways: tuple[str, str]) -> None:
    """Padded or not, by blanks or zeros."""
    text = WHOLE.replace(f"\n{ways[0]}\n", f"\n{ways[1]}\n")
    assert text != WHOLE
    assert _pairs(text) == _by_hand(WHOLE)


@pytest.mark.parametrize("wrong", ["x", "", "1.0", "10000", "-99999999999999999999", "1 0", "LINE"])
@pytest.mark.parametrize("size", [200, 4_000_000])
def test_a_wrong_code_is_told_with_its_line(wrong: str, size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """In whichever part of the file it stands; the first of several."""
    monkeypatch.setattr(read_pairs, "CHUNK_BYTES", size)
    lines = WHOLE.split("\n")
    lines[300] = wrong
    lines[400] = "y"
    with pytest.raises(UnreadableError, match=r"^line 301: .* stands where a DXF has a group code"):
        list(stretches("\n".join(lines).encode()))


def _read(text: str) -> Reading:
    reading = read_dxf(
        text.replace(
            "ENTITIES", "HEADER\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES"
        ).encode()
    )
    assert reading.faults == ()
    return reading


@pytest.mark.parametrize("size", [1, 150, 4_000_000])
def test_plain_lines_are_read_as_they_stand(size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """On whichever way of writing their layer; the outline between them stays where it is in the order."""
    monkeypatch.setattr(read_pairs, "CHUNK_BYTES", size)
    drawing = _read(WHOLE).drawing
    assert len(drawing.drawn) == 80
    ends = [tuple(drawing.drawn.path(index).vertices) for index in (0, 41)]
    assert ends == [((0.25, 5, 0), (0.5, -6.125, 0)), ((1.25, 5, 0), (1.5, -6.125, 0))]
    (outline,) = drawing.on(Layer.CUT)
    assert drawing.drawn.order[39] < outline.order < drawing.drawn.order[40]


def test_a_line_that_is_not_plain_is_read_like_any_other() -> None:
    """One that lies above the mat is told, and drawn all the same."""
    text = WHOLE.replace(" 10\n7.25\n", " 10\n7.25\n 30\n2.5\n", 1)
    reading = read_dxf(text.encode())
    assert Code.NOT_FLAT in {fault.code for fault in reading.faults}
    assert len(reading.drawing.drawn) == 80
