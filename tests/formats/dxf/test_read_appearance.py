"""Lines of a DXF that programs leave out, smooth, widen or colour otherwise; codes by the DXF reference."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from tests.check.drawings import drawing_of, dxf_text, usual_layout, write_folder
from tests.check.more_formats import r12_text, sewn_text
from tests.texts import pairs_text

LAYERS = {"DRAW": 5, "REGISTER": 3, "CUT": 6}
Change = Callable[[str], str]


def _pairs(*pairs: tuple[int, object]) -> str:
    return pairs_text(pairs)


def _table(layers: dict[str, tuple[tuple[int, object], ...]]) -> str:
    entries = "".join(_pairs((0, "LAYER"), (2, name), *pairs) for name, pairs in layers.items())
    return _pairs((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, 3)) + entries + _pairs(
        (0, "ENDTAB"), (0, "ENDSEC")
    )  # fmt: skip


def _layers(*cut: tuple[int, object], without: str = "") -> str:
    """The table of layers, with what is said otherwise of the layer cut."""
    usual: dict[int, object] = {70: 0, 62: 6, 6: "CONTINUOUS"}
    given = {
        name: ((70, 0), (62, colour), (6, "CONTINUOUS")) for name, colour in LAYERS.items() if name != without
    }
    if without != "CUT":
        given["CUT"] = tuple({**usual, **dict(cut)}.items())
    return _table(given)


def _dxf(table: str | None = None) -> str:
    text = dxf_text(drawing_of(usual_layout()))
    entities = _pairs((0, "SECTION"), (2, "ENTITIES"))
    return text.replace(entities, (_layers() if table is None else table) + entities)


def _after(where: str, *pairs: tuple[int, object]) -> Change:
    def change(text: str) -> str:
        assert where in text
        return text.replace(where, where + _pairs(*pairs), 1)

    return change


TAB = _pairs((0, "LWPOLYLINE"), (8, "CUT"))
STROKE = _pairs((0, "LINE"), (8, "DRAW"))
DISC = _pairs((0, "CIRCLE"), (8, "CUT"))
ONE: dict[str, tuple[str, Change]] = {
    "invisible": ("hidden", _after(TAB, (60, 1))),
    "an invisible stroke": ("hidden", _after(STROKE, (60, 1))),
    "in the pen's colour": ("wrong-colour", _after(TAB, (62, 5))),
    "a stroke in the colour of the cut": ("wrong-colour", _after(STROKE, (62, 6))),
    "a colour of many": ("wrong-colour", _after(DISC, (420, 255))),
    "dashed": ("dashed", _after(TAB, (6, "DASHED"))),
    "a dashed stroke": ("dashed", _after(STROKE, (6, "HIDDEN2"))),
    "thick": ("not-flat", _after(DISC, (39, 2.5))),
    "a thick stroke": ("not-flat", _after(STROKE, (39, 2.5))),
    "raised": ("not-flat", _after(TAB, (38, 3))),
    "a raised circle": ("not-flat", _after(DISC, (30, -4))),
    "a rising stroke": ("not-flat", _after(STROKE, (31, 7))),
    "wide": ("wide-line", _after(TAB, (43, 1.5))),
    "wide at one corner": ("wide-line", _after(TAB, (40, 0), (41, 0.2))),
    "four corners that say five": (
        "vertex-count", lambda text: text.replace(TAB + _pairs((90, 4)), TAB + _pairs((90, 5)), 1)
    ),
    "no count of corners": ("vertex-count", lambda text: text.replace(TAB + _pairs((90, 4)), TAB, 1)),
}  # fmt: skip
TABLES: dict[str, tuple[str, str]] = {
    "off": ("hidden", _layers((62, -6))),
    "frozen": ("hidden", _layers((70, 1))),
    "locked": ("hidden", _layers((70, 4))),
    "not plotted": ("hidden", _layers((290, 0))),
    "of dashes": ("dashed", _layers((6, "DASHDOT"))),
    "missing": ("missing-layer", _layers(without="CUT")),
    "the pen's missing": ("missing-layer", _layers(without="DRAW")),
    "in the pen's colour": ("wrong-colour", _layers((62, 5))),
}


def _codes(folder: Path, text: str, suffix: str = "dxf") -> list[str]:
    findings = check_paths([write_folder(folder, usual_layout(), {suffix: text})]).findings
    return [finding.code for finding in findings]


def _codes_alone(folder: Path, text: str) -> list[str]:
    path = folder / "harbour.dxf"
    path.write_text(text, encoding="utf-8")
    return [finding.code for finding in check_paths([path]).findings]


def test_the_drawing_is_sound_with_its_table(tmp_path: Path) -> None:
    """Else nothing below would say anything."""
    assert _codes(tmp_path, _dxf()) == []


@pytest.mark.parametrize("fault", ONE)
def test_one_entity_is_one_fault(tmp_path: Path, fault: str) -> None:
    """In a file of ours as in one from elsewhere."""
    code, change = ONE[fault]
    text = change(_dxf())
    assert text != _dxf()
    assert _codes(tmp_path, text) == [code]
    assert _codes_alone(tmp_path, text) == [code]


@pytest.mark.parametrize("fault", TABLES)
def test_a_layer_is_one_fault_however_much_is_on_it(tmp_path: Path, fault: str) -> None:
    """Told at the layer."""
    code, table = TABLES[fault]
    assert _codes(tmp_path, _dxf(table)) == [code]
    assert _codes_alone(tmp_path, _dxf(table)) == [code]


SAID_AS_USUAL = {
    "its layer's colour": _after(TAB, (62, 6)),
    "colour by layer": _after(TAB, (62, 256)),
    "line type by layer": _after(STROKE, (6, "ByLayer")),
    "whole lines": _after(TAB, (6, "Continuous")),
    "visible": _after(TAB, (60, 0)),
    "flat": _after(STROKE, (30, "0.000"), (31, 0), (39, 0)),
    "of no width": _after(TAB, (43, "0.0"), (38, 0)),
    "a heavy line": _after(TAB, (370, 50)),
}


@pytest.mark.parametrize("way", SAID_AS_USUAL)
def test_what_is_said_as_it_is_anyway_is_no_fault(tmp_path: Path, way: str) -> None:
    """Nor how heavy a line is shown: no tool goes by that."""
    assert _codes(tmp_path, SAID_AS_USUAL[way](_dxf())) == []


POLYLINE = _pairs((0, "POLYLINE"), (8, "CUT"), (66, 1), (70, 1))
VERTEX = _pairs((0, "VERTEX"), (8, "CUT"))
R12: dict[str, tuple[str, Change]] = {
    "curve fit": ("smoothed", lambda text: text.replace(POLYLINE, POLYLINE[:-2] + "3\n", 1)),
    "spline fit": ("smoothed", lambda text: text.replace(POLYLINE, POLYLINE[:-2] + "5\n", 1)),
    "a smooth surface": ("smoothed", _after(POLYLINE, (75, 6))),
    "wide": ("wide-line", _after(POLYLINE, (40, 1), (41, 1))),
    "wide at a corner": ("wide-line", _after(VERTEX, (41, 0.3))),
    "a raised corner": ("not-flat", _after(VERTEX, (30, 5))),
    "invisible": ("hidden", _after(POLYLINE, (60, 1))),
}


@pytest.mark.parametrize("fault", R12)
def test_old_polylines_are_told_alike(tmp_path: Path, fault: str) -> None:
    """R12 has flags for curves that each program draws in its own way."""
    code, change = R12[fault]
    text = r12_text(drawing_of(usual_layout()))
    assert change(text) != text
    assert _codes(tmp_path, change(text), "r12.dxf") == [code]


INSERT = _pairs((0, "INSERT"), (8, "1"))
SEWN: dict[str, tuple[str, Change]] = {
    "an invisible piece": ("hidden", _after(INSERT, (60, 1))),
    "a raised piece": ("not-flat", _after(INSERT, (30, 2))),
    "a boundary of dashes": ("dashed", _after(_pairs((0, "POLYLINE"), (8, "1")), (6, "DASHED"))),
}


@pytest.mark.parametrize("fault", SEWN)
def test_blocks_are_told_alike(tmp_path: Path, fault: str) -> None:
    """Where they are inserted and in what they hold; the layers' colours say nothing there."""
    code, change = SEWN[fault]
    text = sewn_text(drawing_of(usual_layout()))
    assert change(text) != text
    assert _codes(tmp_path, change(text), "sewn.dxf") == [code]


def test_a_drawing_in_one_block_is_sound(tmp_path: Path) -> None:
    """Inserted once, it is read as it stands in the block."""
    head, entities = _dxf().split(_pairs((0, "SECTION"), (2, "ENTITIES")))
    entities = entities.removesuffix(_pairs((0, "ENDSEC"), (0, "EOF")))
    block = _pairs((0, "SECTION"), (2, "BLOCKS"), (0, "BLOCK"), (8, "0"), (2, "ALL"), (10, 0), (20, 0))
    model = _pairs((0, "ENDBLK"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"), (0, "INSERT"), (8, "CUT"))
    text = head + block + entities + model + _pairs((2, "ALL"), (10, 0), (20, 0), (0, "ENDSEC"), (0, "EOF"))
    assert _codes_alone(tmp_path, text) == []
    assert check_paths([tmp_path / "harbour.dxf"]).pieces == 6


def test_a_word_in_the_table_is_no_number(tmp_path: Path) -> None:
    """It is told, and reading goes on."""
    assert "not-a-number" in _codes(tmp_path, _dxf(_layers((62, "tide"))))
