"""Kinds of block to choose from: each is a job that reads, and has a picture that no other has."""

from __future__ import annotations

import re

import pytest

from cutfiles.core.errors import JobError
from cutfiles.job.model.blade_shapes import blade_shapes
from cutfiles.job.model.job import CentreKind, Job, Setting
from cutfiles.job.parse.read import parse_job
from cutfiles.page.fields.blocks import BLOCKS, block_of, block_svg, choice_svg, is_pictured, with_block
from cutfiles.page.fields.document import tables_of
from cutfiles.page.fields.form import shapes_of
from cutfiles.pipeline import size
from cutfiles.tips.registry import Tip
from tests.cli.commands import DEMO

TEXT = DEMO.read_text(encoding="utf-8")
NAMES = [block.name for block in BLOCKS]


def _as(text: str, name: str) -> str:
    return with_block(text, tables_of(text), size(parse_job(text)), name)


@pytest.mark.parametrize("name", NAMES)
def test_each_kind_makes_a_job_that_reads_and_leads_back(name: str) -> None:
    """Each fabric gives the new shapes, as many as it gave blades; the whole plate is the old job again."""
    changed = _as(TEXT, name)
    assert block_of(tables_of(changed)) == name
    job = parse_job(changed)
    shapes = [shape.name for shape in job.plate.shapes]
    assert shapes_of(tables_of(changed)) == (*shapes, "centre", "background"), "fabrics have a field for each"
    for fabric, before in zip(job.fabrics, parse_job(TEXT).fabrics, strict=True):
        counts = {dict(fabric.cuts).get(shape) for shape in shapes}
        assert counts == {dict(before.cuts).get("blade")}
    assert parse_job(_as(changed, "ring")) == parse_job(TEXT)


def test_a_quilt_has_shapes_of_its_own() -> None:
    """Fabrics have a field for its binding and its backing."""
    assert shapes_of(tables_of(f"{TEXT}\n[quilt]\n"))[-2:] == ("binding", "backing")


def _told(job: Job) -> set[str]:
    """What of a job makes it one of the kinds."""
    kinds = {"set" + job.plate.setting.value} if job.plate.setting is not Setting.CENTRE else set()
    return (
        kinds
        | ({"second"} if job.plate.second_length_mm else set())
        | ({"bands"} if job.plate.bands_mm else set())
    )


def test_every_kind_that_a_job_knows_can_be_chosen() -> None:
    """Where a fan sits, blades of two lengths, and blades pieced of bands."""
    told = set().union(*(_told(parse_job(_as(TEXT, name))) for name in NAMES))
    assert told == {f"set{known.value}" for known in Setting if known is not Setting.CENTRE} | {
        "second",
        "bands",
    }
    assert len(blade_shapes(seams=1)) == 2


def test_a_kind_whose_sizes_follow_from_the_plate_waits_for_them() -> None:
    """And a name that was made up is none."""
    broken = TEXT.replace('blade_length = "4 3/4"', 'blade_length = "long"')
    with pytest.raises(JobError, match="mend what is marked first"):
        with_block(broken, tables_of(broken), None, "bands")
    with pytest.raises(JobError, match="no kind of block"):
        _as(TEXT, "star")


def test_the_pictures_differ() -> None:
    """Kinds of block, tips and centres; and where the eye would see no difference there are none."""
    pictures = [block_svg(name) for name in NAMES]
    pictures += [choice_svg("plate", "tip", tip.value) for tip in Tip if tip is not Tip.FOLDED]
    pictures.append(choice_svg("centre", "kind", CentreKind.YO_YO.value))
    assert len(set(pictures)) == len(pictures)
    assert all(re.match(r"<svg [^>]*viewBox", picture) for picture in pictures)
    assert choice_svg("centre", "kind", CentreKind.GATHERED.value) == block_svg("ring")
    assert block_svg("star") == choice_svg("plate", "tip", "star") == choice_svg("mat", "width", "3") == ""
    assert is_pictured("plate", "tip")
    assert not is_pictured("job", "unit")
    assert not is_pictured("machine", "edge")
