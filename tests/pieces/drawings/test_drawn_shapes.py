"""A drawing becomes a shape of the job: its seam, its marks, and where its file is looked for."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, area
from cutfiles.geometry.outline import Path as Outline
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.template import SewnOrCut
from cutfiles.pieces.drawings.outline import drawn_outline
from cutfiles.pieces.own_outline import given_outline, outline_shape
from cutfiles.pieces.shape import Shape
from cutfiles.pipeline import Options, make, size
from tests.conftest import briefly
from tests.pieces.drawings.samples import apart, outline_of, polygon, spec_of, svg

FIXTURES = Path(__file__).parents[3] / "fixtures/outlines"
BOX = "M 0 0 H 9 V 9 H 0 Z"


def _shape(name: str, *, line: SewnOrCut = SewnOrCut.SEWN, seam_mm: float = 6.35) -> Shape:
    spec = spec_of(FIXTURES / name, line=line, seam_mm=seam_mm)
    return outline_shape(spec, given_outline(spec, Unit.MM))


@pytest.mark.parametrize(
    "name", ["leaf.svg", "leaf.dxf", "heart.svg", "heart.dxf", "wave.svg", "pennant.dxf"]
)
def test_a_shape_from_a_drawing_is_as_one_from_points(name: str) -> None:
    """Grown by its seam, or with the sew line inside; symmetric only if it is."""
    sewn, cut = _shape(name), _shape(name, line=SewnOrCut.CUT)
    assert [mark.kind for mark in (*sewn.marks, *cut.marks)] == [Drawn.SEW, Drawn.SEW]
    assert sewn.marks[0].path == cut.cut
    assert area(cut.marks[0].path) < area(cut.cut) < area(sewn.cut)
    assert _shape(name, seam_mm=0.0).cut == cut.cut
    mirrored = polygon(placed(cut.cut, Pose(mirrored=True)))
    assert cut.symmetric is (name[:4] in ("leaf", "hear"))
    assert (apart(mirrored, polygon(cut.cut)) < 0.01) is cut.symmetric


def test_a_circle_from_a_drawing_has_a_round_seam(tmp_path: Path) -> None:
    """A circle all the way."""
    given = outline_of(tmp_path, svg('<circle r="20" cx="9"/>'))
    shape = outline_shape(spec_of(tmp_path / "leaf.svg", line=SewnOrCut.SEWN), given)
    assert shape.symmetric
    assert isinstance(shape.cut, Circle)
    assert area(shape.cut) == pytest.approx(math.pi * 26.35**2)
    with pytest.raises(GeometryError, match="leaves no single sewn shape inside leaf"):
        outline_shape(spec_of(tmp_path / "leaf.svg", line=SewnOrCut.CUT, seam_mm=20.0), given)


def test_the_path_starts_at_the_job_and_size_needs_no_drawing(tmp_path: Path) -> None:
    """From whatever folder the program is run; `make` is the first to look."""
    (tmp_path / "drawings").mkdir()
    job = tmp_path / "job.toml"
    job.write_text(
        '[plate]\nblades = 20\nsewn = 1\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n'
        '[[fabric]]\nname = "tide"\nwidth = 9\nlength = 9\n'
        '[[outline]]\nname = "leaf"\nfile = "drawings/leaf.svg"\nline = "cut"\n[machine]\nregister = "none"\n'
    )
    sized = size(job)
    assert dict(sized.needs)["leaf"] == 1
    with pytest.raises(Exception, match=r'outline\.leaf\.file: "leaf\.svg" is not there'):
        make(sized, Options(around_search=briefly))
    (tmp_path / "drawings/leaf.svg").write_text(svg(f'<path d="{BOX}" transform="scale(4)"/>'))
    made = make(sized, Options(around_search=briefly))
    assert b'id="tide-leaf-001"' in made.files["load-01.svg"]


def test_an_outline_has_few_vertices() -> None:
    """Two curves 9 cm long: some thirty arcs."""
    leaf = drawn_outline(FIXTURES / "leaf.svg", Unit.MM)
    assert isinstance(leaf, Outline)
    assert len(leaf.vertices) <= 32
