"""A job file becomes a `Job`."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import CutfilesError, JobError
from cutfiles.core.units import Unit
from cutfiles.formats.model.style import HpglArcs, LayerSpec, LayersSpec, PlotterSpec
from cutfiles.formats.model.tool import Drawn
from cutfiles.formats.registry import FORMATS
from cutfiles.job.model.job import Face, Grain, Job, Print, Register, Share
from cutfiles.job.model.template import SewnOrCut
from cutfiles.job.parse.read import output_formats, parse_job, read_job
from cutfiles.job.schema.field import Field, Kind, Table
from cutfiles.job.schema.fields import TABLES
from cutfiles.job.starter import starter
from cutfiles.tips.registry import Tip

PLATE = '[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n'
FABRIC = '[[fabric]]\nname = "tide"\nwidth = 5\nlength = 10\n'


def test_left_out_keys_have_their_defaults() -> None:
    """What the reference calls a default is what the reader fills in."""
    job = parse_job(PLATE + FABRIC)
    assert (job.title, job.unit, job.files) == ("Plates", Unit.IN, ("svg", "dxf"))
    plate = job.plate
    assert (plate.count, plate.blades, plate.sewn, plate.seam_mm, plate.tip) == (1, 20, 20, 6.35, Tip.FOLDED)
    assert (job.centre, job.background, job.outlines) == (None, None, ())
    fabric = job.fabrics[0]
    assert (fabric.pieces, fabric.margin_mm, fabric.print_) == (1, 0.0, Print.PLAIN)
    assert (fabric.grain, fabric.face) == (Grain.LENGTHWISE, Face.WRONG_SIDE_UP)
    assert (job.mat.width_mm, job.mat.height_mm, job.mat.margin_mm) == (304.8, 609.6, 6.35)
    machine = job.machine
    assert (machine.gap_mm, machine.smallest_mm, machine.register) == (1.5875, 0.0, Register.CROSS)
    assert machine.draw == (Drawn.SEW, Drawn.FOLD, Drawn.LABEL)


def test_every_key_is_read() -> None:
    """A job with nothing left to its defaults arrives whole."""
    job = parse_job(
        """
        [job]
        title = "Harbour school"
        unit = "mm"
        [plate]
        count = 3
        blades = 16
        sewn = 8
        inner_radius = "1¼ in"
        finished_diameter = "29cm"
        seam = 6
        tip = "round"
        [centre]
        turn = 8
        diameter = 90
        [background]
        cut = 330
        [[fabric]]
        name = "lantern-2"
        width = 400
        length = 500
        pieces = 4
        print = "one-way"
        grain = "crosswise"
        margin = 3
        face = "right side up"
        cuts = { leaf = 2, blade = "fill", centre = "rest", background = 1 }
        [[outline]]
        name = "leaf"
        points = [[0, 0], [0, 20], ["1 in", 0]]
        count = 6
        seam = 0
        line = "cut"
        [mat]
        width = 300
        height = 600
        margin = 5
        [machine]
        gap = 1
        draw = ["grain", "notch", "sew"]
        kerf = 0
        smallest = 2
        register = "ring"
        [output]
        files = ["dxf"]
        """
    )
    assert (job.title, job.unit, job.files) == ("Harbour school", Unit.MM, ("dxf",))
    plate = job.plate
    assert (plate.count, plate.blades, plate.sewn, plate.tip) == (3, 16, 8, Tip.ROUND)
    assert (plate.blade_length_mm, plate.inner_radius_mm, plate.finished_diameter_mm) == (None, 31.75, 290.0)
    assert job.centre is not None
    assert (job.centre.cover_mm, job.centre.turn_mm, job.centre.diameter_mm) == (None, 8.0, 90.0)
    assert job.background is not None
    assert (job.background.margin_mm, job.background.cut_mm) == (None, 330.0)
    fabric = job.fabrics[0]
    assert (fabric.name, fabric.width_mm, fabric.length_mm, fabric.pieces) == ("lantern-2", 400.0, 500.0, 4)
    assert (fabric.print_, fabric.grain, fabric.face) == (Print.ONE_WAY, Grain.CROSSWISE, Face.RIGHT_SIDE_UP)
    assert fabric.cuts == (("leaf", 2), ("blade", Share.FILL), ("centre", Share.REST), ("background", 1))
    leaf = job.outlines[0]
    assert leaf.points == ((25.4, 0.0), (0.0, 20.0), (0.0, 0.0))  # turned counter-clockwise
    assert (leaf.count, leaf.seam_mm, leaf.line) == (6, 0.0, SewnOrCut.CUT)
    assert (job.mat.width_mm, job.mat.height_mm, job.mat.margin_mm) == (300.0, 600.0, 5.0)
    machine = job.machine
    assert (machine.gap_mm, machine.smallest_mm, machine.register) == (1.0, 2.0, Register.RING)
    assert machine.draw == (Drawn.SEW, Drawn.NOTCH, Drawn.GRAIN)  # in drawing order


def test_a_fabric_without_cuts_offers_the_rest_of_everything() -> None:
    """Also of the user's own outlines, but of no shape that the job lacks."""
    outline = '[[outline]]\nname = "leaf"\npoints = [[0, 0], [2, 0], [1, 3]]\n'
    job = parse_job(PLATE + "[centre]\n" + FABRIC + outline)
    assert job.fabrics[0].cuts == (("blade", Share.REST), ("centre", Share.REST), ("leaf", Share.REST))


def test_pieces_that_are_kept_out_are_not_there() -> None:
    """Of two squares one is left; kept out altogether, the job does without the fabric."""
    tide = FABRIC + "pieces = 2\n"
    shingle = FABRIC.replace("tide", "shingle")
    assert parse_job(PLATE + tide + "keep_out = 1\n" + shingle).fabrics[0].pieces == 1
    assert [fabric.name for fabric in parse_job(PLATE + tide + "keep_out = 2\n" + shingle).fabrics] == [
        "shingle"
    ]
    with pytest.raises(JobError, match="is taken by an earlier fabric"):
        parse_job(PLATE + tide + "keep_out = 2\n" + tide)


def test_the_starter_reads_and_shows_only_known_keys() -> None:
    """What `new` writes is a job, and each of its uncommented keys is in the field table."""
    assert isinstance(parse_job(starter(Unit.IN)), Job)
    known = {table.name: {field.key for field in table.fields} for table in TABLES}
    (note,) = (line for line in starter(Unit.IN).splitlines() if line.startswith("tip ="))
    assert all(re.search(rf"# .*\b{tip.value}\b", note) for tip in Tip)
    for name, table in tomllib.loads(starter(Unit.IN)).items():
        for entry in table if isinstance(table, list) else [table]:
            assert set(entry) <= known[name]


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    """Files saved by other editors are no error."""
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (PLATE + FABRIC).replace("\n", "\r\n").encode())
    assert read_job(path) == parse_job(PLATE + FABRIC)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b'[plate]\nblade_length = "\xff"\n', "line 2: is not UTF-8 text; save the file as UTF-8"),
        (b"#" * 1_000_001, "is larger than 1 MB; a job file holds a few lines of text"),
        (b"a = " + b"[" * 5000, "is nested too deep to be a job file"),
    ],
)
def test_a_file_that_is_no_job_is_refused(tmp_path: Path, content: bytes, message: str) -> None:
    """One line, whatever the bytes."""
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(JobError) as caught:
        read_job(path)
    assert str(caught.value) == message


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    """With the reason that the system gives."""
    with pytest.raises(JobError, match="can't be read \\(No such file"):
        read_job(tmp_path / "none.toml")
    with pytest.raises(JobError, match="can't be read \\(Is a directory"):
        read_job(tmp_path)


def test_formats_of_the_command_line_are_read() -> None:
    """A list with commas, blanks forgiven."""
    assert output_formats("dxf, svg") == ("dxf", "svg")
    *most, last = FORMATS
    allowed = f"choose {', '.join(most)} or {last}"
    with pytest.raises(JobError, match=rf'^--files: "pgn" is not allowed; {allowed}$'):
        output_formats("svg,pgn")


_WILD = st.recursive(
    st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.just("4 3/4"),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["blade", "x"]), inner, max_size=2)
    ),
    max_leaves=6,
)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        escaped = "".join(f"\\U{ord(sign):08X}" for sign in value if not 0xD800 <= ord(sign) <= 0xDFFF)
        return f'"{escaped}"'
    if isinstance(value, list):
        return f"[{', '.join(_toml(entry) for entry in value)}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {_toml(entry)}' for key, entry in value.items())}}}"
    return str(value)


@given(field=st.sampled_from([(t, f) for t in TABLES for f in t.fields]), value=_WILD)
def test_any_value_anywhere_is_read_or_refused_in_one_line(field: tuple[Table, Field], value: object) -> None:
    """No value of any type escapes as a traceback."""
    table, key = field
    lines = {"plate": {"blade_length": "4", "inner_radius": "1"}}
    lines.setdefault(table.name, {"name": '"tide"', "width": "5"} if table.repeated else {})
    lines[table.name][key.key] = _toml(value)
    text = ""
    for name, keys in lines.items():
        head = f"[[{name}]]" if name in ("fabric", "outline") else f"[{name}]"
        text += head + "\n" + "".join(f"{key_name} = {written}\n" for key_name, written in keys.items())
    says = "a job"
    try:
        parse_job(text)
    except CutfilesError as error:
        says = str(error)
    assert says.isprintable()


def test_every_field_kind_is_used() -> None:
    """No dead kinds in the table."""
    assert {field.kind for table in TABLES for field in table.fields} == set(Kind)


def test_layers_and_the_plotters_pens_are_read() -> None:
    """What is left out keeps its usual name and colour, or is the plotter's own."""
    job = parse_job(
        PLATE
        + '[machine]\nhpgl_arcs = "arcs"\ncut_speed = 12\ndraw_force = 3\n'
        + '[layers]\ndraw = { name = "PEN" }\ncut = { colour = "#aa0011" }\n'
    )
    assert job.layers.draw == LayerSpec("PEN", "#0072B2")
    assert job.layers.register == LayerSpec("REGISTER", "#009E73")
    assert job.layers.cut == LayerSpec("CUT", "#AA0011")
    assert job.plotter == PlotterSpec(HpglArcs.ARCS, None, 12, 3, None)
    assert parse_job(PLATE).plotter == PlotterSpec()
    assert parse_job(PLATE).layers == LayersSpec()
