"""Every fault that `check` can find: its lasting code, what it means and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Code(Enum):
    """A fault's short name; a code never changes its meaning."""

    UNREADABLE = "unreadable"
    TOO_LARGE = "too-large"
    TOO_MUCH = "too-much"
    MISSING_FILE = "missing-file"
    EXTRA_FILE = "extra-file"
    CHANGED_FILE = "changed-file"
    BAD_LAYOUT = "bad-layout"
    DUPLICATE_ID = "duplicate-id"
    WRONG_COUNT = "wrong-count"
    WRONG_PLATE = "wrong-plate"
    WRONG_STRIP = "wrong-strip"
    FABRICS_OVERLAP = "fabrics-overlap"
    FABRIC_OFF_MAT = "fabric-off-mat"
    TRUE_SIZE = "true-size"
    MAT_SIZE = "mat-size"
    WRONG_SCALE = "wrong-scale"
    NOT_A_NUMBER = "not-a-number"
    HUGE_NUMBER = "huge-number"
    NOT_ASCII = "not-ascii"
    UNKNOWN_ELEMENT = "unknown-element"
    UNKNOWN_LAYER = "unknown-layer"
    TRANSFORM = "transform"
    STYLE_SHEET = "style-sheet"
    HIDDEN = "hidden"
    CLIPPED = "clipped"
    DASHED = "dashed"
    WRONG_COLOUR = "wrong-colour"
    WIDE_LINE = "wide-line"
    NOT_FLAT = "not-flat"
    MISSING_LAYER = "missing-layer"
    VERTEX_COUNT = "vertex-count"
    SMOOTHED = "smoothed"
    TURNED_PAGE = "turned-page"
    CROPPED_PAGE = "cropped-page"
    PAGE_TWICE = "page-twice"
    WRONG_ORDER = "wrong-order"
    INNER_AFTER_OUTER = "inner-after-outer"
    NOTHING_TO_CUT = "nothing-to-cut"
    ZERO_LENGTH = "zero-length"
    OPEN_OUTLINE = "open-outline"
    NEEDLESS_POINTS = "needless-points"
    SELF_CROSSING = "self-crossing"
    DOUBLED_CUT = "doubled-cut"
    CROSSING_CUTS = "crossing-cuts"
    PIECE_IN_PIECE = "piece-in-piece"
    TOO_NEAR = "too-near"
    OFF_MAT = "off-mat"
    OFF_FABRIC = "off-fabric"
    STRAY_MARK = "stray-mark"
    MARK_ON_FABRIC = "mark-on-fabric"
    MISSING_REGISTER = "missing-register"
    WRONG_PLACING = "wrong-placing"
    MISSING_PIECE = "missing-piece"
    EXTRA_PIECE = "extra-piece"
    OTHER_JOB = "other-job"
    WRONG_LAYER = "wrong-layer"
    WRONG_ID = "wrong-id"
    WRONG_SHAPE = "wrong-shape"
    WRONG_PLACE = "wrong-place"
    FORBIDDEN_TURN = "forbidden-turn"
    MIRRORED_PIECE = "mirrored-piece"
    FORMATS_DIFFER = "formats-differ"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a code says of a file, and what to do then; the table of the documentation is made of these."""

    means: str
    remedy: str


_MAKE_AGAIN = "make the files again"

MEANINGS: dict[Code, Meaning] = {
    Code.UNREADABLE: Meaning("the file is not what its name says, or is cut short", _MAKE_AGAIN),
    Code.TOO_LARGE: Meaning("the file is above 200 MB and was not read", "split the drawing"),
    Code.TOO_MUCH: Meaning(
        "there are more lines, or more lines over each other, than can be measured in reasonable time; "
        "the rest of the file was not measured",
        "split the drawing, or look for lines drawn many times over",
    ),
    Code.MISSING_FILE: Meaning("layout.json names a file that isn't there", _MAKE_AGAIN),
    Code.EXTRA_FILE: Meaning(
        "a machine file lies in the folder that layout.json doesn't name: left from an earlier run, perhaps",
        "move it away, so that nobody cuts from it",
    ),
    Code.CHANGED_FILE: Meaning(
        "the file is not as it was written: its sum differs from the one in layout.json",
        "if the change was meant, keep it under another name; otherwise make the files again",
    ),
    Code.BAD_LAYOUT: Meaning("layout.json lacks something, or holds what can't be", _MAKE_AGAIN),
    Code.DUPLICATE_ID: Meaning("two pieces or two loads of layout.json share a name", _MAKE_AGAIN),
    Code.WRONG_COUNT: Meaning(
        "a fabric's count in layout.json is not the number of its pieces on the loads and cut by hand",
        _MAKE_AGAIN,
    ),
    Code.WRONG_PLATE: Meaning(
        "a blade is for no place of layout.json's plates, for one that another blade has or that is of "
        "another fabric, its label says otherwise, or a place has no blade",
        _MAKE_AGAIN,
    ),
    Code.WRONG_STRIP: Meaning(
        "a strip of layout.json that is cut by hand is marked for other pieces than its shape, for more or "
        "fewer than it says, or lies over another",
        _MAKE_AGAIN,
    ),
    Code.FABRICS_OVERLAP: Meaning("two rectangles of fabric lie over each other", _MAKE_AGAIN),
    Code.FABRIC_OFF_MAT: Meaning("a rectangle of fabric leaves the mat", _MAKE_AGAIN),
    Code.TRUE_SIZE: Meaning(
        "the file doesn't say in mm how large it is, so programs may scale it. An SVG needs width and "
        "height in mm, cm or in and a viewBox of the same size in mm; a DXF needs $INSUNITS 4",
        "set the size; don't cut before a test square measures right",
    ),
    Code.MAT_SIZE: Meaning("the file's mat is not the mat of layout.json", _MAKE_AGAIN),
    Code.WRONG_SCALE: Meaning(
        "every outline is larger or smaller than its piece by one factor: a unit was taken for another",
        "make the files again, or import them as mm",
    ),
    Code.NOT_A_NUMBER: Meaning("a coordinate is no finite number, or path data makes no sense", _MAKE_AGAIN),
    Code.HUGE_NUMBER: Meaning("a line reaches further than 100 m", "look for a slipped decimal point"),
    Code.NOT_ASCII: Meaning(
        "a DXF before version 2007 or an HP-GL holds signs beyond ASCII, which programs read differently",
        "use the letters A to Z, digits and simple signs",
    ),
    Code.UNKNOWN_ELEMENT: Meaning(
        "something is neither a line, an arc, a circle nor a chain of them (text, splines, blocks, "
        "curves); it was not measured",
        "turn it into lines and arcs, or delete it",
    ),
    Code.UNKNOWN_LAYER: Meaning(
        "lines lie on a layer or in a group that isn't place, draw, register or cut; they were not measured",
        "move them to the right layer",
    ),
    Code.TRANSFORM: Meaning(
        "an SVG element is moved or scaled by a transform, which not every machine program applies; "
        "its lines were measured without it",
        "apply the transform to the coordinates",
    ),
    Code.STYLE_SHEET: Meaning(
        "an SVG uses a style, which may hide lines and which not every machine program reads",
        "write stroke and fill as attributes",
    ),
    Code.HIDDEN: Meaning(
        "lines are in the file that are not shown: programs that go by what is seen leave them out, others "
        "run them; they were measured",
        "show them, or delete them",
    ),
    Code.CLIPPED: Meaning(
        "part of a line is cut off by a clip, a mask, a filter or the page's edge; it was measured whole",
        "remove the clip, or make the page larger",
    ),
    Code.DASHED: Meaning(
        "lines are dashed, or of a line type that isn't whole: some programs cut the dashes only",
        "draw them as whole lines",
    ),
    Code.WRONG_COLOUR: Meaning(
        "a line is in another colour than the rest of its layer, or in another layer's: programs that go by "
        "colour take it for something else",
        "give it its layer's colour",
    ),
    Code.WIDE_LINE: Meaning(
        "a line of a DXF has a width: some programs cut round both of its sides", "set the width to 0"
    ),
    Code.NOT_FLAT: Meaning(
        "a line of a DXF has a height above the mat, a thickness, or is seen from behind, which not every "
        "machine program reads alike; it was measured as it lies in the drawing",
        "flatten the drawing to z 0, extrusion 0, 0, 1",
    ),
    Code.MISSING_LAYER: Meaning(
        "lines of a DXF lie on a layer that its table of layers lacks: some programs refuse the file, others "
        "make the layer up",
        "add the layer to the table; make the files again",
    ),
    Code.VERTEX_COUNT: Meaning(
        "a polyline of a DXF says another number of corners than it has: some programs read no further",
        _MAKE_AGAIN,
    ),
    Code.SMOOTHED: Meaning(
        "a polyline of a DXF is to be smoothed by a curve, which programs do differently or not at all; its "
        "corners were measured as they stand",
        "turn it into lines and arcs",
    ),
    Code.TURNED_PAGE: Meaning(
        "a page of a PDF is shown turned, so that it doesn't print as it was laid out", "turn it back"
    ),
    Code.CROPPED_PAGE: Meaning(
        "a page of a PDF shows and prints less than its sheet", "set the crop to the whole sheet"
    ),
    Code.PAGE_TWICE: Meaning("two pages of a PDF are the same", "delete one of the two"),
    Code.WRONG_ORDER: Meaning(
        "something is cut before everything is drawn and marked: the fabric may shift",
        "order the groups draw, register, cut",
    ),
    Code.INNER_AFTER_OUTER: Meaning(
        "an outline inside another is cut after it: by then the piece may have shifted",
        "cut what is inside first",
    ),
    Code.NOTHING_TO_CUT: Meaning("the file holds no cut line", "see whether the layers have the right names"),
    Code.ZERO_LENGTH: Meaning(
        "a line without length: the tool would go down and up on one spot", "delete it"
    ),
    Code.OPEN_OUTLINE: Meaning(
        "a cut line doesn't come back to its start: the piece stays attached", "close it"
    ),
    Code.NEEDLESS_POINTS: Meaning(
        "a curve or straight line is broken into many points: slow to cut, and rough at every one",
        "write arcs as arcs; make the files again",
    ),
    Code.SELF_CROSSING: Meaning("an outline crosses or touches itself", "draw it anew"),
    Code.DOUBLED_CUT: Meaning("one line is cut twice, whole or along a part", "delete one of the two"),
    Code.CROSSING_CUTS: Meaning("two outlines cross: both pieces are spoiled", "move one of the pieces"),
    Code.PIECE_IN_PIECE: Meaning("one outline lies inside another", "move one of the pieces"),
    Code.TOO_NEAR: Meaning("two outlines are nearer to each other than the machine's gap", "move them apart"),
    Code.OFF_MAT: Meaning("a line to cut or mark lies beyond the machine's reach", "move it onto the mat"),
    Code.OFF_FABRIC: Meaning(
        "an outline leaves its fabric, or enters the margin or what is to be avoided",
        "move it into what of the fabric may be cut",
    ),
    Code.STRAY_MARK: Meaning(
        "a drawn line is not inside one piece, or a notch not on its edge",
        "move it into its piece, or delete it",
    ),
    Code.MARK_ON_FABRIC: Meaning("a register mark lies on fabric and would spoil it", "move mark or fabric"),
    Code.MISSING_REGISTER: Meaning("layout.json promises register marks and there are none", _MAKE_AGAIN),
    Code.WRONG_PLACING: Meaning(
        "on the layer place the outline of a fabric is missing, lies elsewhere than layout.json lays the "
        "fabric, or is there without being asked for",
        _MAKE_AGAIN,
    ),
    Code.MISSING_PIECE: Meaning("a piece of layout.json is not cut in the file", _MAKE_AGAIN),
    Code.EXTRA_PIECE: Meaning("an outline belongs to no piece of layout.json", "delete it, or make again"),
    Code.OTHER_JOB: Meaning(
        "no outline has the shape of any piece of its load: the file is of another job, or of another size",
        "look which job it belongs to, and keep it out of this folder",
    ),
    Code.WRONG_LAYER: Meaning(
        "the outline of a piece is there, but on a layer that isn't cut", "move it to the layer cut"
    ),
    Code.WRONG_ID: Meaning("an outline lies where one piece should, with no id or another's", _MAKE_AGAIN),
    Code.WRONG_SHAPE: Meaning("an outline is not the shape that layout.json has for the piece", _MAKE_AGAIN),
    Code.WRONG_PLACE: Meaning(
        "a piece lies elsewhere, or otherwise turned, than in layout.json", _MAKE_AGAIN
    ),
    Code.FORBIDDEN_TURN: Meaning(
        "a piece is turned in a way that its fabric's grain and print don't allow", "turn it back"
    ),
    Code.MIRRORED_PIECE: Meaning(
        "a piece that is not its own mirror image is mirrored though the others of its fabric, the side that "
        "layout.json says is up, or the pieces of layout.json, say otherwise",
        "mirror it back",
    ),
    Code.FORMATS_DIFFER: Meaning("two files of one load don't hold the same lines", _MAKE_AGAIN),
}
