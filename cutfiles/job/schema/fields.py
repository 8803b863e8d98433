"""Every table and key of a job file: the reader obeys this table, the reference is made from it."""

from __future__ import annotations

from enum import Enum

from cutfiles.core.units import Unit
from cutfiles.formats.model.style import HpglArcs
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import CentreKind, CutBy, FabricEdge, Face, Grain, Print, Register, Setting
from cutfiles.job.model.template import SewnOrCut
from cutfiles.job.schema.field import AS_NEEDED, SPREAD, Field, Kind, Table
from cutfiles.job.schema.output import LAYERS, OUTPUT
from cutfiles.job.schema.template import STOCK, TEMPLATE
from cutfiles.tips.registry import Tip


def _values(kind: type[Enum]) -> tuple[str, ...]:
    return tuple(member.value for member in kind)


def _length(key: str, says: str, default: str | None = None, *, least: int = 0, later: str = "") -> Field:
    return Field(key, Kind.LENGTH, says, default, least=least, later=later)


def _size(key: str, says: str, *, unless: str = "", words: tuple[str, ...] = ()) -> Field:
    return Field(key, Kind.LENGTH, says, required=True, unless=unless, least=1, choices=words)


_TIPS = ", ".join(tip.finish.words.choice for tip in Tip)
_MEASURED = "see [Calibration](registration.md#calibration)"


def _scale(key: str, says: str) -> Field:
    return Field(key, Kind.NUMBER, says + _MEASURED, 1.0, least=0.9, most=1.1)


def _pace(key: str, says: str, *, most: int) -> Field:
    return Field(key, Kind.COUNT, says, least=1, most=most)


JOB = Table(
    "job",
    "What the job is called and what its numbers mean.",
    (
        Field("title", Kind.TEXT, "heads the job sheet", "Plates"),
        Field("unit", Kind.CHOICE, "what a number without a unit means", "in", choices=_values(Unit)),
        Field(
            "cut",
            Kind.CHOICE,
            "by machine; or by hand, from strips across the cloth: the sheet then has marks to cut at and "
            "there is a template to print, in place of machine files; see [By hand](by-hand.md)",
            CutBy.MACHINE.value,
            choices=_values(CutBy),
        ),
        Field(
            "machine",
            Kind.TEXT,
            "file with `[mat]`, `[machine]` and `[layers]` tables, whose keys hold where the job has none of "
            "its own; path from the job file's folder; see [Machine notes](registration.md#machine-notes)",
        ),
    ),
)
PLATE = Table(
    "plate",
    "The ring of blades. Give exactly two of `blade_length`, `inner_radius` and `finished_diameter`; "
    "the third follows from them.",
    (
        Field("count", Kind.COUNT, "how many plates to make", 1, least=1, most=1000),
        Field("blades", Kind.COUNT, "blades that close a full circle", 20, least=3, most=60),
        Field(
            "sewn",
            Kind.COUNT,
            "blades that are sewn together; below `blades` the plate is a fan; left out, it is `blades`, "
            "or as many as `set` asks",
            least=1,
            most=60,
        ),
        _length("blade_length", "cut length on the blade's centre line", least=1),
        _length(
            "second_length",
            "cut length of every other blade, shorter than the others; `cuts` then names `blade` and "
            "`second-blade`, and a ring takes an even number of blades; see [Two "
            "lengths](geometry.md#two-lengths-in-turn)",
            least=1,
        ),
        Field(
            "bands",
            Kind.LENGTHS,
            "seams across each blade, measured from the plate's centre, the nearest first: "
            '`bands = ["3 1/2"]`; `cuts` then names `band-1` (innermost), `band-2` … in place of `blade`; '
            "see [Bands](geometry.md#bands)",
        ),
        _length("inner_radius", "from the plate's centre to the narrow cut end"),
        _length("finished_diameter", "twice the distance from the plate's centre to a finished tip", least=1),
        _length("seam", "seam allowance, the same at the sides and the tip", "1/4 in", least=1),
        Field(
            "tip", Kind.CHOICE, f"how the wide end is finished: {_TIPS}", "folded",
            choices=_values(Tip),
        ),
        Field(
            "set",
            Kind.CHOICE,
            "where a fan sits on its background: in the middle, like a plate; in a `corner`, a quarter of "
            "the circle; or on an `edge`, half of it. Then its straight edges lie in the block's seams, the "
            "background is as large as the fan needs, and the centre is a quarter or a half; see [Corner and "
            "edge](geometry.md#a-fan-in-a-corner-or-on-an-edge)",
            "centre",
            choices=_values(Setting),
        ),
        Field(
            "order",
            Kind.ORDER,
            "which fabric stands where round the plate: spread evenly, no two neighbours alike where that "
            "can be, or names repeated counter-clockwise from the top (a fan: from its right end), which "
            "also says how many blades each fabric gives; see [Which fabric where](order.md)",
            SPREAD,
        ),
    ),
)  # fmt: skip
CENTRE = Table(
    "centre",
    "The circle over the hole. Without this table there is none. Give `cover` or `diameter`, not both.",
    (
        _length(
            "cover",
            "how far the finished circle reaches past the opening's widest point; without it and `diameter`, "
            "as far as hides side seams all 1/32 in too narrow, rounded up to 1/8 in, and 1/4 in at least",
        ),
        _length("turn", "what is turned under, all round", "1/4 in"),
        _length("diameter", "finished size of the circle", least=1),
        Field(
            "kind",
            Kind.CHOICE,
            "how it is made: gathered over a round template, or a yo-yo, drawn up from a circle twice as "
            "wide (whole plates, and fans without `set`, alone)",
            "gathered",
            choices=_values(CentreKind),
        ),
    ),
)
BACKGROUND = Table(
    "background",
    "The square that the plate is sewn to (of a fan with `set`, its corner or edge). Without this table "
    "there is none. Give `margin` or `cut`, not both.",
    (
        _length(
            "margin",
            "between the tips (corners, where they are flat) and the seam line, "
            "rounded up to the next 1/2 in or 1 cm in all",
            "1/2 in",
        ),
        _length("cut", "side of the square as it is cut; on an edge its longer side", least=1),
        _length(
            "trim",
            "cut larger by this, to be squared up after sewing, as sewing a plate on draws the cloth in; of "
            "a fan in a corner or on an edge only at its free sides",
            "0",
        ),
    ),
)
QUILT = Table(
    "quilt",
    "Blocks joined to a runner or a square, with its binding and its backing; see [Runners and "
    "squares](runners.md). `count` of `[plate]` is then rows × columns and may be left out, and `cuts` may "
    "name `binding` and `backing`. Without this table every block is by itself.",
    (
        Field("rows", Kind.COUNT, "blocks one above the other", 1, least=1, most=30),
        Field("columns", Kind.COUNT, "blocks side by side", 1, least=1, most=30),
        _length("binding", "how wide its strips are cut; 0 for none", "2 1/2 in"),
        _length("backing", "what it is larger by than the quilt, all round; 0 for none", "2 in"),
        Field(
            "strip",
            Kind.LENGTH,
            "usable width of the cloth for binding and backing: how long a strip across it is",
            "40 in",
            least=1,
        ),
    ),
)
_LENGTH = (
    'along the lengthwise grain; `"as needed"` finds the shortest that gives what the fabric is to give, '
    "see [What to buy](what-to-buy.md)"
)
FABRIC = Table(
    "fabric",
    "One kind of fabric, in one or more pieces of the same size; with `names` several that are alike but for "
    "their names, such as the prints of one pack.",
    (
        Field(
            "name",
            Kind.LABEL,
            "what you call it, no two alike; the pen writes the nearest letters that it has, and says so",
            required=True,
            unless="names",
        ),
        Field(
            "names",
            Kind.LABELS,
            'instead of `name`: `names = ["tide", "shingle", "samphire"]`, and `pieces` of each',
        ),
        _size("width", "crosswise, from selvedge to selvedge where there are selvedges", unless="outline"),
        _size("length", _LENGTH, unless="outline", words=(AS_NEEDED,)),
        Field(
            "pieces",
            Kind.COUNT,
            'how many pieces of this size there are; `"as needed"` finds how many to buy, see '
            "[What to buy](what-to-buy.md)",
            1,
            least=1,
            most=10_000,
            choices=(AS_NEEDED,),
        ),
        Field(
            "keep_out",
            Kind.COUNT,
            "so many of its pieces are kept out, as if they weren't there; all of them, and the job does "
            "without the fabric",
            0,
            least=0,
            most=10_000,
        ),
        Field(
            "print",
            Kind.CHOICE,
            "which ways round the print looks right; a stripe is `two-way`; `four-way` gives quarter turns "
            'only with `grain = "straight"`, as by default blades lie lengthwise: then it gives two turns',
            "plain",
            choices=_values(Print),
            hints=(("strip", ": a stripe is two-way, and grain says whether blades lie along or across it"),),
        ),
        Field(
            "grain",
            Kind.CHOICE,
            "where a blade's centre line may lie: along the lengthwise grain (and along a stripe that runs "
            "with it), across it, on either (`straight`), or anyhow",
            "lengthwise",
            choices=_values(Grain),
        ),
        _length("margin", "kept clear inside every edge, for pinked or uneven edges", "0"),
        Field(
            "face",
            Kind.CHOICE_BY_SHAPE,
            "how it lies on the mat; one that gives backgrounds alone lies right side "
            "up if nothing is said, as a plate is laid by lines on the right side; of one that gives more, "
            '`{ background = "right side up" }` does the same: see '
            "[Which side is up](files-and-layers.md#which-side-is-up)",
            "wrong side up",
            choices=_values(Face),
        ),
        Field(
            "outline",
            Kind.EDGE,
            "of an irregular scrap: corners in order, each [x, y], or an SVG or DXF drawing (path from the "
            "job file's folder; see [Scraps](own-outlines.md#scraps)); x crosswise, y lengthwise, seen from "
            "the side that faces up; it must fit the mat uncut",
        ),
        Field(
            "avoid",
            Kind.AVOIDED,
            "flaws, stains, selvedges: no cut line enters them; see below, on every piece the same",
        ),
        Field(
            "repeat",
            Kind.REPEAT,
            "of the print: every piece cut from the fabric then shows the same part of it; see below",
        ),
        Field(
            "motif",
            Kind.POINT,
            "[x, y] of the place on the print where pieces have their origin; left out, it is the middle "
            "of the first repeat; see below",
        ),
        Field(
            "shrink",
            Kind.SHRINK,
            "what washing takes, where sizes are given as bought: less is then there to cut from; see below",
        ),
        _length(
            "ends",
            "length lost where it is cut from the bolt and straightened, as bought; `length` has it",
            "0",
        ),
        Field(
            "sold",
            Kind.LENGTH,
            'in what steps a length is sold, such as `"1/4 yd"` or `"10 cm"`; left out, it is 1/8 yd in a '
            "job in inches, else 10 cm; see [What to buy](what-to-buy.md)",
            least=1,
        ),
        Field(
            "pack",
            Kind.COUNT,
            "so many pieces are sold together; of `names`, all in one pack",
            least=1,
            most=1000,
        ),
        Field(
            "spare",
            Kind.COUNT,
            "so many pieces of each shape that the fabric gives are cut beyond those asked for; not of those "
            "that `fill` it",
            0,
            least=0,
            most=1000,
        ),
        Field(
            "cuts",
            Kind.CUTS,
            'shape = count; a count is a number, "rest" (what is still to be cut) or "fill" '
            '(all that the fabric holds); left out, it is "rest" of every shape',
        ),
        Field(
            "colour",
            Kind.TEXT,
            "how the sheet's pictures show it: `#` and six of 0 to 9 and A to F; left out, one of their own",
        ),
        Field(
            "picture",
            Kind.TEXT,
            "PNG, JPEG or WebP file that shows its right side, lengthwise grain up, straight from above; "
            "path from the job file's folder; the sheet's pictures then show the cloth, see "
            "[Which fabric where](order.md#the-cloth-itself)",
        ),
        Field(
            "picture_width",
            Kind.LENGTH,
            "how much cloth the picture shows crosswise, 3 mm or more; its height follows from its pixels",
            least=1,
        ),
    ),
    repeated=True,
)
AVOID = Table(
    "avoid",
    "What to avoid on a fabric, written as a list: "
    "`avoid = [{ x = 1, y = 2, width = 1, length = 3 }, { points = [[0, 0], [1, 0], [0, 1]] }]`. "
    "A rectangle, or `points` alone. x runs crosswise and y lengthwise from the fabric's lower left corner, "
    "seen from the side that faces up on the mat; beside an `outline`, from where its corners count, or from "
    "the lower left corner of its bounds where that is a drawing.",
    (
        _length("x", "left edge", "0"),
        _length("y", "lower edge", "0"),
        _size("width", "crosswise", unless="points"),
        _size("length", "along the lengthwise grain", unless="points"),
        Field("points", Kind.POINTS, "corners in order, each [x, y]"),
    ),
)
REPEAT = Table(
    "repeat",
    "For cutting the same motif into every piece: `repeat = { width = 4, length = 6 }` and `motif = [2, 1]`. "
    "Every piece cut from the fabric, whatever its shape, has its origin on the same place of the printed "
    "repeat: on `motif`, or whole repeats from there. A blade's and a background's origin is the plate's "
    "centre (a blade's narrow end lies `inner_radius` above it), a centre's its middle, an outline's the "
    "origin of its points or the middle of its drawing. `motif` is measured on the right side of the fabric "
    "piece, as the print is seen: x crosswise from its left edge, y lengthwise from its lower edge, on the "
    "piece or in its first repeat. Every piece of the fabric must show the print in the same place. Turns "
    "follow from `print` and `grain` as ever; a piece turned end for end has its origin on the motif, too, "
    "and shows the print upside down. [The same motif on every blade](motifs.md) shows how to measure.",
    (
        _size("width", "of one repeat, crosswise; 3 mm or more"),
        _size("length", "of one repeat, along the lengthwise grain; 3 mm or more"),
    ),
)
SHRINK = Table(
    "shrink",
    "Per cent of what is bought: `shrink = { width = 2, length = 3 }`. `width` and `length` of the fabric "
    "are then as it is bought, and pieces are laid on what is left of it once it is washed.",
    (
        Field("width", Kind.NUMBER, "crosswise", 0.0, least=0.0, most=30.0),
        Field("length", Kind.NUMBER, "along the lengthwise grain", 0.0, least=0.0, most=30.0),
    ),
)
OUTLINE = Table(
    "outline",
    "A shape of your own, cut beside the plates. Give `points` or `file`, not both; "
    "[Outlines of your own](own-outlines.md) says what a drawing may hold.",
    (
        Field("name", Kind.NAME, "letters, digits and hyphens; no two alike", required=True),
        Field("points", Kind.POINTS, "corners in order, each [x, y]; y is up"),
        Field("file", Kind.TEXT, "SVG or DXF drawing of one closed outline; path from the job file's folder"),
        Field("count", Kind.COUNT, "how many to cut", 1, least=1, most=100_000),
        _length("seam", "added all round, or marked inside where `line` is cut", "1/4 in"),
        Field("line", Kind.CHOICE, "what the points or the drawing are", "sewn", choices=_values(SewnOrCut)),
    ),
    repeated=True,
)
MAT = Table(
    "mat",
    "The cutting mat or bed. Without this table it is 12 × 24 in.",
    (
        Field("width", Kind.LENGTH, "left to right", "12 in", least=1),
        Field("height", Kind.LENGTH, "front to back", "24 in", least=1),
        _length("margin", "what the machine can't reach, all round", "1/4 in"),
    ),
)
MACHINE = Table(
    "machine",
    "How the machine cuts and draws. [Machines](machines.md) says when to set `kerf`, `swivel`, `overcut` "
    "and `edge`.",
    (
        _length("gap", "least distance between cut lines", "1/16 in"),
        Field(
            "draw", Kind.CHOICES,
            "what the pen draws; [] for nothing; `cut` is the cut line, to cut along with scissors",
            ("sew", "fold", "label"),
            choices=_values(Drawn),
        ),
        _length("kerf", "width of what the tool removes, at most `gap`; 0 where the machine sees to it", "0"),
        _length(
            "swivel", "how far the knife's tip trails behind its axis; 0 where the machine sees to it", "0"
        ),
        _length("overcut", "how far to cut past the start, so that the corner lets go", "0"),
        Field(
            "edge", Kind.CHOICE, "cut lines that lie on the fabric's own edge: `skip` leaves them out", "cut",
            choices=_values(FabricEdge),
        ),
        _length("smallest", "a note warns of anything finer than this", "0"),
        Field(
            "register", Kind.CHOICE, "marks for laying a load down again", "cross", choices=_values(Register)
        ),
        Field(
            "place",
            Kind.FLAG,
            "a layer of its own with the outlines where each piece of fabric is laid: the pen draws it on "
            "the bare mat, or on paper, before fabric lies there; see [Where fabric is laid]"
            "(files-and-layers.md#where-fabric-is-laid)",
            default=False,
        ),
        _scale("scale_x", "what lengths along x are multiplied by in machine files; "),
        _scale("scale_y", "the same along y; "),
        Field(
            "skew_deg",
            Kind.NUMBER,
            f"degrees by which the machine's y axis leans to the right; {_MEASURED}",
            0.0,
            least=-5.0,
            most=5.0,
        ),
        Field(
            "hpgl_arcs", Kind.CHOICE, "arcs in HP-GL: as chords, which any plotter takes, or as arcs",
            "chords", choices=_values(HpglArcs),
        ),
        _pace("draw_speed", "cm/s of the pen in HP-GL; left out, the plotter's own", most=200),
        _pace("cut_speed", "cm/s of the knife in HP-GL; left out, the plotter's own", most=200),
        _pace("draw_force", "the same for the force on the pen, in the plotter's own steps", most=999),
        _pace("cut_force", "the same for the force on the knife", most=999),
    ),
)  # fmt: skip
KITS = Table(
    "kits",
    "The whole job so many times: plates, outlines and the numbers in `cuts` are those of one kit.",
    (Field("count", Kind.COUNT, "how many kits", 1, least=1, most=1000),),
)
TABLES = (
    JOB, PLATE, CENTRE, BACKGROUND, QUILT, KITS, FABRIC, OUTLINE, MAT, MACHINE, LAYERS, OUTPUT, TEMPLATE,
    STOCK,
)  # fmt: skip
