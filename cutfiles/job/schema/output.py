"""Keys of `[layers]` and `[output]`: which files are written, their layers, and the paper of a PDF."""

from __future__ import annotations

from cutfiles.formats.paper.sizes import Paper
from cutfiles.formats.registry import DEFAULT, FORMATS
from cutfiles.job.schema.field import Field, Kind, Table

LAYERS = Table(
    "layers",
    "What the layers of DXF files are called, and their colours in DXF and SVG. "
    'A layer is written `draw = { name = "PEN", colour = "#0072B2" }`; either of the two may be left out.',
    (
        Field("draw", Kind.LAYER, "what the pen draws"),
        Field("register", Kind.LAYER, "marks for laying a load down again"),
        Field("cut", Kind.LAYER, "what is cut"),
        Field("place", Kind.LAYER, "where fabric is laid, with `place = true` in `[machine]`"),
    ),
)
LAYER = Table(
    "layer",
    "No two layers may have one name, nor one colour: readers tell them apart by either.",
    (
        Field(
            "name",
            Kind.TEXT,
            "1 to 31 of A to Z, 0 to 9, `$`, `_` and `-`, as DXF R12 allows; left out, the key in capitals",
        ),
        Field("colour", Kind.TEXT, "`#` and six of 0 to 9 and A to F: red, green, blue"),
    ),
)
OUTPUT = Table(
    "output",
    "Which machine files to write.",
    (
        Field(
            "files",
            Kind.CHOICES,
            "formats; [Files and layers](files-and-layers.md) says which is for what",
            DEFAULT,
            choices=tuple(FORMATS),
        ),
        Field(
            "split",
            Kind.FLAG,
            "a file for the pen and one for the knife, for two machines; see [Registration](registration.md)",
            default=False,
        ),
        Field(
            "paper",
            Kind.CHOICE,
            "what a PDF is printed on; left out, Letter where the job's unit is in, else A4; see "
            "[Printing](printing.md)",
            choices=tuple(paper.value for paper in Paper),
        ),
        Field("roll_width", Kind.LENGTH, "width of the roll where `paper` is roll; 200 mm to 2 m", least=1),
        Field(
            "paper_margin",
            Kind.LENGTH,
            "what the printer can't reach, all round; 3 mm to 1 in",
            "10 mm",
            least=1,
        ),
        Field(
            "paper_overlap",
            Kind.LENGTH,
            "what neighbouring pages have in common; 5 to 50 mm",
            "10 mm",
            least=1,
        ),
    ),
)
