"""What the pages show is what the program says: their samples are run, their numbers worked out anew."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from cutfiles.job.model.job import Face, Grain, Print
from cutfiles.job.schema.fields import TABLES
from cutfiles.nest.cutting_rules.turns import allowed_turns
from cutfiles.pipeline import size
from tests.cli.commands import ROOT, cutfiles
from tests.texts import code_blocks

DOCS = ROOT / "docs"
# Each of these pages shows a job and what a command says of it.
SHOWN = {
    "what-to-buy.md": ("buy", "{job}"),
    "what-fits.md": ("fit", "{job}"),
    "seams.md": ("size", "{job}"),
    "by-hand.md": ("buy", "{job}"),
    "runners.md": ("size", "{job}"),
    "motifs.md": ("size", "{job}"),
}


def blocks(page: str, kind: str) -> list[str]:
    """Return the blocks of code in a page that are of a kind."""
    return code_blocks((DOCS / page).read_text(encoding="utf-8"), kind)


@pytest.mark.parametrize("page", SHOWN)
def test_what_a_page_shows_of_its_job_is_what_the_command_says(page: str, tmp_path: Path) -> None:
    """Its first job, pasted as it stands; every line shown is said, in that order."""
    job = tmp_path / "job.toml"
    job.write_text(blocks(page, "toml")[0], encoding="utf-8")
    run = cutfiles(*(word.format(job=job) for word in SHOWN[page]), cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    assert blocks(page, "text")[0] in run.stdout


def test_the_length_to_buy_of_a_motif_is_as_the_page_explains_it(tmp_path: Path) -> None:
    """Worked out by hand: two rows of blades, 6 in apart, each 4 3/4 long; a motif 1/2 in up; 1/8 yards."""
    (tmp_path / "job.toml").write_text(blocks("motifs.md", "toml")[0], encoding="utf-8")
    amount = size(tmp_path / "job.toml").repeats[0].plate
    assert amount is not None
    rows, origin_below = 6 + 4.75, 1.25
    assert amount.length_mm / 25.4 == pytest.approx(0.5 + origin_below + rows)
    eighths = -(-(rows + 6) // 4.5)
    assert amount.buy_mm / 25.4 == pytest.approx(eighths * 4.5)
    text = (DOCS / "motifs.md").read_text(encoding="utf-8")
    assert rows == 10.75
    assert "(here 10 3/4 in)" in text
    assert "(16 3/4 in)" in text


def test_the_ways_of_a_print_are_those_that_the_page_names() -> None:
    """With `grain` left out; a four-way print gives quarter turns on a straight grain alone."""
    page = (DOCS / "first-plate.md").read_text(encoding="utf-8")
    shown = {
        name: int(count) for name, count in re.findall(r"^\| `([a-z-]+)` \|.*\| (\d) \|$", page, re.MULTILINE)
    }
    for print_ in Print:
        turns = allowed_turns(print_, Grain.LENGTHWISE, Face.RIGHT_SIDE_UP)
        assert shown.pop(print_.value) == len(turns or ()), print_
    assert shown == {}
    straight = allowed_turns(Print.FOUR_WAY, Grain.STRAIGHT, Face.RIGHT_SIDE_UP)
    assert len(straight or ()) == 4


def test_every_job_that_a_page_shows_reads() -> None:
    """Fences of TOML are tables that the reader knows, their keys too."""
    known = {table.name: {field.key for field in table.fields} for table in TABLES}
    shown = 0
    for page in sorted(DOCS.glob("*.md")):
        for block in blocks(page.name, "toml"):
            for name, table in tomllib.loads(block).items():
                tables = table if isinstance(table, list) else [table]
                for keys in tables if isinstance(table, (list, dict)) else []:
                    shown += 1
                    if name in known:
                        assert set(keys) <= known[name], f"{page.name}: [{name}]"
    assert shown > 10
