"""What a path means: a file, a folder, a layout; and which files should be there."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from cutfiles.check import folder
from cutfiles.check.check import check_paths
from cutfiles.check.rules import limits, marks
from cutfiles.check.shapes import pairs
from cutfiles.core.errors import UnreadableError
from cutfiles.findings import limits as findings_limits
from cutfiles.formats.dxf import read as dxf
from cutfiles.formats.hpgl import read_plotter as hpgl_plotter
from cutfiles.formats.svg import read as svg
from tests.check.drawings import (
    Layout,
    drawing_of,
    dxf_text,
    stroke,
    svg_text,
    usual_layout,
    usual_texts,
    write_folder,
)
from tests.check.more_formats import FORMATS


def _summed(texts: dict[str, str]) -> Layout:
    files = [
        {"name": f"load-01.{suffix}", "sha256": hashlib.sha256(text.encode()).hexdigest()}
        for suffix, text in texts.items()
    ]
    return {**usual_layout(), "files": files}


def _file_codes(*paths: Path) -> set[tuple[str, str]]:
    return {(Path(finding.file).name, finding.code) for finding in check_paths(paths).findings}


def test_files_as_they_were_written_have_no_fault(tmp_path: Path) -> None:
    """Their sums are those of the layout."""
    assert _file_codes(write_folder(tmp_path, _summed(usual_texts()), usual_texts())) == set()


def test_a_changed_file_is_found_by_its_sum(tmp_path: Path) -> None:
    """Even a change that harms nothing."""
    texts = usual_texts()
    write_folder(tmp_path, _summed(texts), {**texts, "svg": texts["svg"] + "<!-- tide -->"})
    assert _file_codes(tmp_path) == {("load-01.svg", "changed-file")}
    assert _file_codes(tmp_path / "load-01.svg") == {("load-01.svg", "changed-file")}
    assert _file_codes(tmp_path / "load-01.dxf") == set()


def test_other_files_of_the_layout_are_summed_too(tmp_path: Path) -> None:
    """The job sheet belongs to the files it describes."""
    layout = _summed(usual_texts())
    layout["files"] += [{"name": "job-sheet.html", "sha256": "0" * 64}]
    write_folder(tmp_path, layout, usual_texts())
    assert _file_codes(tmp_path) == {("layout.json", "missing-file")}
    (tmp_path / "job-sheet.html").write_text("<html></html>")
    assert _file_codes(tmp_path) == {("job-sheet.html", "changed-file")}


def test_a_missing_file_is_found(tmp_path: Path) -> None:
    """With sums by name, without them by load."""
    texts = usual_texts()
    write_folder(tmp_path / "summed", _summed(texts), {"svg": texts["svg"]})
    assert _file_codes(tmp_path / "summed") == {("layout.json", "missing-file")}
    write_folder(tmp_path / "plain", usual_layout(), {})
    assert _file_codes(tmp_path / "plain") == {("layout.json", "missing-file")}


def test_a_machine_file_that_the_layout_does_not_name_is_found(tmp_path: Path) -> None:
    """A load left from an earlier run could be cut by mistake; a user's own leaf.svg is left alone."""
    write_folder(tmp_path, _summed(usual_texts()), usual_texts())
    (tmp_path / "leaf.svg").write_text("<svg/>")
    assert _file_codes(tmp_path) == set()
    assert any("leaf.svg" in note for note in check_paths([tmp_path]).notes)
    (tmp_path / "load-02.svg").write_text(usual_texts()["svg"])
    (tmp_path / "load-01.r12.dxf").write_text(usual_texts()["dxf"])
    assert _file_codes(tmp_path) == {("load-02.svg", "extra-file"), ("load-01.r12.dxf", "extra-file")}


def test_one_file_is_checked_against_the_layout_beside_it(tmp_path: Path) -> None:
    """So its pieces are known; its neighbours are not spoken of."""
    layout = usual_layout()
    texts = usual_texts()
    del layout["loads"][0]["fabrics"][1]
    write_folder(tmp_path, layout, {**texts, "dxf": "rubbish"})
    assert _file_codes(tmp_path / "load-01.svg") == {("load-01.svg", "extra-piece")}


def test_a_stranger_s_file_is_checked_for_what_can_be_known(tmp_path: Path) -> None:
    """Without a layout the gap and the pieces aren't known, and a note says so; crossings are faults."""
    path = tmp_path / "load-01.svg"
    path.write_text(usual_texts()["svg"])
    report = check_paths([path])
    assert report.findings == ()
    assert any("no layout.json" in note for note in report.notes)
    layout = usual_layout()
    layout["loads"][0]["fabrics"][0]["pieces"][4]["x_mm"] = 40
    path.write_text(svg_text(drawing_of(layout)))
    assert _file_codes(path) == {("load-01.svg", "crossing-cuts")}


def test_a_broken_layout_leaves_the_files_strangers(tmp_path: Path) -> None:
    """What can still be known of them is checked."""
    write_folder(tmp_path, usual_layout(), usual_texts())
    (tmp_path / "layout.json").write_text('{"format": ')
    assert _file_codes(tmp_path) == {("layout.json", "unreadable")}
    assert _file_codes(tmp_path / "load-01.svg") == set()


@pytest.mark.parametrize("layer", ["draw", "register"])
def test_formats_that_differ_are_found(tmp_path: Path, layer: str) -> None:
    """One line more in one of the two."""
    drawing = drawing_of(usual_layout())
    more = stroke("draw", (31, 82), (49, 82)) if layer == "draw" else stroke("register", (6, 150), (9, 150))
    index = next(index for index, line in enumerate(drawing.lines) if line.layer == layer)
    drawing.lines.insert(index, more)
    write_folder(tmp_path, usual_layout(), {"svg": svg_text(drawing), "dxf": usual_texts()["dxf"]})
    assert _file_codes(tmp_path) == {("load-01.svg", "formats-differ")}


def test_cut_lines_that_differ_are_found_without_a_layout(tmp_path: Path) -> None:
    """With one, each is compared with the layout instead."""
    drawing = drawing_of(usual_layout())
    index = drawing.at("tide-tab-002")
    drawing.lines[index] = drawing.lines[index].moved(0.01, 0)
    (tmp_path / "load-01.svg").write_text(svg_text(drawing))
    (tmp_path / "load-01.dxf").write_text(usual_texts()["dxf"])
    assert _file_codes(tmp_path) == {("load-01.svg", "formats-differ")}


def test_an_outline_of_single_lines_is_an_outline(tmp_path: Path) -> None:
    """Programs that explode polylines cut the same shape; with one line gone it is open."""
    drawing = drawing_of(usual_layout())
    tab = drawing.lines.pop(drawing.at("tide-tab-002"))
    ends = [corner[:2] for corner in tab.corners]
    sides = [stroke("cut", first, second) for first, second in zip(ends, ends[1:] + ends[:1], strict=True)]
    sides[1] = stroke("cut", ends[2], ends[1])  # one the other way round
    drawing.lines += [sides[0], sides[2], sides[3], sides[1]]
    write_folder(tmp_path, usual_layout(), {"dxf": dxf_text(drawing)})
    assert _file_codes(tmp_path) == set()
    drawing.lines.remove(sides[3])
    write_folder(tmp_path, usual_layout(), {"dxf": dxf_text(drawing)})
    assert _file_codes(tmp_path) == {("load-01.dxf", "open-outline")}


def test_a_layout_may_be_named_for_its_folder(tmp_path: Path) -> None:
    """`check out/layout.json` is `check out`."""
    write_folder(tmp_path, usual_layout(), usual_texts())
    assert check_paths([tmp_path / "layout.json"]) == check_paths([tmp_path])


@pytest.mark.parametrize("name", ["gone.svg", "notes.txt", "empty", "pipe.svg"])
def test_a_path_that_cannot_be_checked_is_an_error(tmp_path: Path, name: str) -> None:
    """Nothing there, the wrong kind, nothing in it, or no plain file."""
    (tmp_path / "notes.txt").write_text("tide")
    (tmp_path / "empty").mkdir()
    os.mkfifo(tmp_path / "pipe.svg")
    with pytest.raises(UnreadableError, match=name):
        check_paths([tmp_path / name])


def test_a_file_above_the_limit_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rather a clear word than an hour of waiting."""
    write_folder(tmp_path, usual_layout(), usual_texts())
    monkeypatch.setattr(folder, "MOST_BYTES", len(usual_texts()["svg"]) - 1)
    (tmp_path / "layout.json").unlink()
    (tmp_path / "load-01.dxf").unlink()
    assert _file_codes(tmp_path) == {("load-01.svg", "too-large")}


@pytest.mark.parametrize(
    ("module", "limit"),
    [
        (svg, "MOST_ITEMS"),
        (findings_limits, "MOST_CORNERS"),
        (svg, "MOST_PARTS"),
        (limits, "_MOST_CHORDS"),
        (pairs, "_MOST_PAIRS"),
        (pairs, "_MOST_LOOKED_AT"),
        (marks, "_MOST_PAIRS"),
    ],
)
def test_more_than_can_be_measured_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: object, limit: str
) -> None:
    """Giving up is a fault, not a pass."""
    (tmp_path / "load-01.svg").write_text(usual_texts()["svg"])
    monkeypatch.setattr(module, limit, 0)
    layout = write_folder(tmp_path, usual_layout(), usual_texts())
    assert ("load-01.svg", "too-much") in _file_codes(layout)


def test_a_fault_in_every_line_is_told_two_hundred_times(tmp_path: Path) -> None:
    """And the rest is counted."""
    drawing = drawing_of(usual_layout())
    drawing.lines[0:0] = [stroke("draw", (100 + n / 10, 90), (110, 95)) for n in range(250)]
    (tmp_path / "load-01.svg").write_text(svg_text(drawing))
    findings = check_paths([tmp_path]).findings
    assert len(findings) == 201
    assert findings[0].says == "and 50 more of the kind"


def test_a_line_turned_about_its_middle_is_another_line(tmp_path: Path) -> None:
    """Middles that agree aren't enough."""
    drawing = drawing_of(usual_layout())
    drawing.lines[0] = stroke("draw", (34, 28), (34, 32))
    write_folder(tmp_path, usual_layout(), {"svg": svg_text(drawing), "dxf": usual_texts()["dxf"]})
    assert _file_codes(tmp_path) == {("load-01.svg", "formats-differ")}


@pytest.mark.parametrize(
    ("module", "limit", "suffix"),
    [
        (dxf, "MOST_ITEMS", "dxf"),
        (findings_limits, "MOST_CORNERS", "dxf"),
        (dxf, "MOST_PARTS", "dxf"),
        (hpgl_plotter, "MOST_ITEMS", "plt"),
        (findings_limits, "MOST_CORNERS", "plt"),
        (hpgl_plotter, "MOST_PARTS", "plt"),
    ],
)
def test_more_than_can_be_read_is_told_in_other_formats(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: object, limit: str, suffix: str
) -> None:
    """By the same word."""
    monkeypatch.setattr(module, limit, 0)
    path = tmp_path / f"any.{suffix}"
    path.write_text(FORMATS[suffix](drawing_of(usual_layout())))
    assert _file_codes(path) == {(path.name, "too-much")}
