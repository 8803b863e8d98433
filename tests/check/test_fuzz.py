"""Broken files end in findings or in one clear line, never in a traceback; and in good time."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from cutfiles.check import check
from cutfiles.check.check import check_paths
from cutfiles.findings import limits
from tests.check.drawings import drawing_of, usual_layout, write_folder
from tests.check.fuzz import broken, ends_well
from tests.check.more_formats import FORMATS

COUNT = 300  # `python -m tests.bench.fuzz` goes on for as long as one likes


# That once ended badly: an importer quoted what no terminal shows, and squared the radii of an oval.
FOUND = (1335, 4335, 204048)


@pytest.mark.parametrize("number", FOUND)
def test_what_once_ended_badly_ends_well(tmp_path: Path, number: int) -> None:
    """Each is kept."""
    assert ends_well(tmp_path, *broken(number))


@pytest.mark.parametrize("first", range(0, COUNT, 50))
def test_a_broken_file_ends_in_findings_or_one_clear_line(tmp_path: Path, first: int) -> None:
    """Bytes flipped, cut short, lines swapped, chunks doubled, numbers of no sense, rubbish."""
    for number in range(first, first + 50):
        folder = tmp_path / str(number)
        suffix, content = broken(number)
        try:
            end = ends_well(folder, suffix, content)
        except Exception as error:
            raise AssertionError(f"broken({number}), {suffix}: {error!r}") from error
        assert end


LIMITS = (
    limits.MOST_CORNERS,
    limits.MOST_ITEMS,
    limits.MOST_INSERTED,
    limits.MOST_PARTS,
    limits.MOST_FAULTS,
    limits.MOST_PAGES,
    limits.DEEPEST,
    limits.DEEPEST_BLOCK,
    limits.MOST_BYTES // 1_000_000,
    limits.MOST_LAYOUT_BYTES // 1_000_000,
)


def test_the_documentation_names_the_limits() -> None:
    """As they are in the code."""
    text = (Path(__file__).parents[2] / "docs" / "checks.md").read_text(encoding="utf-8")
    table = text.split("## How much")[1].split("## ")[0]
    named = {int(cell.replace(",", "")) for cell in re.findall(r"\| ([0-9,]+)(?: MB| deep)? \|", table)}
    assert set(LIMITS) <= named


def test_a_layout_above_its_limit_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """JSON takes many times its size in memory."""
    monkeypatch.setattr(check, "MOST_LAYOUT_BYTES", 100)
    write_folder(tmp_path, usual_layout(), {"svg": FORMATS["svg"](drawing_of(usual_layout()))})
    assert {finding.code for finding in check_paths([tmp_path]).findings} == {"too-large"}


SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
_INSERTED = "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nCUT\n2\nB0\n0\nENDSEC\n0\nEOF\n"
DXF = "0\nSECTION\n2\nBLOCKS\n{}" + _INSERTED


def _blocks(levels: int, times: int, inside: str = "0\nLINE\n8\nCUT\n11\n9\n") -> str:
    return DXF.format(
        "".join(
            f"0\nBLOCK\n2\nB{level}\n10\n0\n20\n0\n{inside}"
            + f"0\nINSERT\n2\nB{level + 1}\n" * times
            + "0\nENDBLK\n"
            for level in range(levels)
        )
    )


DEEP: dict[str, tuple[str, str]] = {
    "groups in groups": ("svg", SVG.format("<g>" * 100_000 + "</g>" * 100_000)),
    "groups that never end": ("svg", SVG.format("<g>" * 100_000)),
    "a block in itself": ("dxf", _blocks(1, 1).replace("B1", "B0")),
    "blocks that double thirty times": ("dxf", _blocks(30, 2)),
    "blocks that insert ten each": ("dxf", _blocks(12, 10)),
    "blocks of nothing": ("dxf", _blocks(12, 10, inside="")),
    "a block in a million columns": (
        "dxf",
        _blocks(2, 1).replace("2\nB1\n", "2\nB1\n70\n1000000\n71\n1000000\n"),
    ),
    "rubbish with semicolons": ("plt", "IN;SP1;" + "#;;;;;;;;;" * 30_000),
    "nothing but semicolons": ("plt", ";" * 500_000),
    "words in words": ("svg", SVG.format('<g id="cut"><path d="' + "M" * 200_000 + '"/></g>')),
    "one number of a million digits": ("plt", f"IN;SP1;PU0,0;PD{'9' * 1_000_000},5;PU;SP0;"),
}


@pytest.mark.parametrize("name", DEEP)
def test_what_is_deep_or_endless_is_told_in_good_time(tmp_path: Path, name: str) -> None:
    """By a finding, within seconds: a bomb takes hours."""
    suffix, text = DEEP[name]
    path = tmp_path / f"deep.{suffix}"
    path.write_text(text)
    start = time.process_time()
    codes = {finding.code for finding in check_paths([path]).findings}
    assert codes & {"too-much", "unreadable", "unknown-element", "nothing-to-cut", "not-a-number"}
    assert time.process_time() - start < 20
