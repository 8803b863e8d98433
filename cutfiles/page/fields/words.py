"""Keys and choices of a job file as a person says them."""

from __future__ import annotations

import re

from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.job.schema.field import Field, Table
from cutfiles.job.schema.fields import TABLES

_BELOW = re.compile(r"[;,] see below")  # on the page of docs, not here
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_CODE = re.compile(r"`([^`]*)`")
_WRITTEN = re.compile(r"([a-z_]+) = (.+)")
_KEY = re.compile(r"\[{0,2}[a-z]+(?:_[a-z]+)*\]{0,2}")

# Who takes a format's files, where that isn't the machine.
_FOR = {Audience.MACHINE: "", Audience.PROGRAM: ", whole pieces", Audience.PRINTER: ", to print"}
# Of a key, where capitals or other words are usual.
_LABELS = {
    "hpgl_arcs": "HP-GL arcs", "skew_deg": "Skew, degrees",
    # Of a flaw, which is measured as it lies in front of you.
    "avoid": "Flaws to avoid", "x": "From the left", "y": "From the bottom",
}  # fmt: skip
# Where capitals or whole words are usual.
_CHOICES = {
    "yo-yo": "Yo-yo",
    "in": "Inches", "cm": "Centimetres", "mm": "Millimetres",
    "sew": "Sewing lines", "fold": "Folds", "notch": "Notches", "grain": "Grain", "label": "Labels",
    **{
        name: f"{known.title[:1].upper()}{known.title[1:]}{_FOR[known.audience]}"
        for name, known in FORMATS.items()
    },
}  # fmt: skip

# What the field table says of how a file has it, where a person on the page does something else.
ON_PAGE = {
    ("job", "machine"): (
        "Notes on a machine that several jobs share: what they say of mat, machine and layers holds where "
        "this job says nothing."
    ),
    ("plate", "second_length"): (
        "Cut length of every other blade, shorter than the others. Fabrics then give “blade” and "
        "“second-blade”, and a whole plate takes an even number."
    ),
    ("plate", "bands"): (
        "Seams across each blade, measured from the plate's centre, the nearest first, such as 3 1/2, 4 "
        "1/2. Fabrics then give “band-1” (innermost), “band-2” … in place of blades."
    ),
    ("plate", "order"): (
        "Names of fabrics with commas between, counter-clockwise from the top (a fan: from its right end), "
        "and again from the first; or “spread”. “Order by hand” below writes them for you."
    ),
    ("fabric", "names"): (
        "Several that are alike but for their names, such as: tide, shingle, samphire. “Pieces” is then of "
        "each. In place of “Name”."
    ),
    ("fabric", "cuts"): (
        "How many of this shape the fabric gives: a number, “rest” (what is still to be cut) or “fill” (as "
        "many as it holds). All of them empty: the rest of every shape."
    ),
    ("fabric", "face"): (
        "How it lies on the mat. A plate is laid by lines on the right side of its background: where the "
        "fabric gives other pieces as well, choose for each shape, else leave it as it is."
    ),
    ("fabric", "outline"): (
        "Of an irregular scrap: its corners in order, such as [[0, 0], [9, 0], [8, 7]], crosswise and "
        "lengthwise, seen from the side that faces up; or a drawing. It must fit the mat uncut."
    ),
    ("fabric", "avoid"): (
        "Holes, stains, selvedges, the same on every piece: no cut line enters them. Each is a rectangle, "
        "measured from the lower left corner of the side that faces up (of a scrap: as its corners are)."
    ),
    ("fabric", "motif"): (
        "What of the print each piece shall show: how far crosswise and lengthwise, such as 2, 1/2. Left "
        "empty: the middle of the first repeat."
    ),
    ("fabric", "colour"): ("In pictures. Left empty: one of its own."),
    ("fabric", "picture"): ("A file beside the job file; “How the cloth looks” takes yours."),
    ("outline", "points"): ("Its corners in order, such as [[0, 0], [3, 0], [3, 3]]; y is up."),
    ("outline", "file"): ("A drawing (SVG, DXF) of one closed outline, in place of points."),
    ("machine", "draw"): ("What the pen draws. “Cut” is the cut line, to cut along with scissors."),
    ("stock", "width"): ("Of a sheet, left to right in the machine."),
    ("stock", "height"): ("Of a sheet, front to back in the machine."),
    ("template", "shape"): ("What it is a template of; it may be a shape of your own, by its name."),
}

_TABLES_ON_PAGE = {
    "quilt": "Blocks joined to a runner or a square, with its binding and its backing; “Count” is then "
    "rows × columns. Fabrics may give “binding” and “backing”. All of it empty: every block is by itself.",
    "kits": "The whole job so many times: all that stands elsewhere is for one kit.",
    "layers": "What the layers of DXF files are called, and their colours in DXF and SVG.",
}
# Keys of several words can be nothing else in a message.
_KEYS = {field.key for table in TABLES for field in table.fields if "_" in field.key}
_OF_WORDS = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


def choice(word: str) -> str:
    """Return a choice in words.

    >>> choice("in"), choice("one-way"), choice("pdf")
    ('Inches', 'One way', 'PDF, to print')
    """
    return _CHOICES.get(word) or label(word)


def label(key: str) -> str:
    """Return a key in words.

    >>> label("blade_length"), label("hpgl_arcs"), label("blade-window")
    ('Blade length', 'HP-GL arcs', 'Blade window')
    """
    if key in _LABELS:
        return _LABELS[key]
    text = key.replace("_", " ").replace("-", " ")
    return text[:1].upper() + text[1:]


def help_of(table: str, field: Field) -> str:
    """Return what a person is told of a field."""
    return ON_PAGE.get((table, field.key)) or plain(field.says)


def help_of_table(table: Table) -> str:
    """Return what a person is told of a table."""
    return _TABLES_ON_PAGE.get(table.name) or plain(table.says)


# A key beside the table that it is in, which on the page is its heading.
_IN_TABLE = re.compile(r"\b([a-z_]+) in \[[a-z]+\]")


def in_words(says: str) -> str:
    """Return a message with keys of the job file in words.

    >>> in_words("give two of blade_length, inner_radius")
    'give two of “Blade length”, “Inner radius”'
    >>> in_words("is said by unit in [job]")
    'is said by “Unit”'
    """
    says = _IN_TABLE.sub(lambda match: f"“{label(match[1])}”", says)
    return _OF_WORDS.sub(lambda match: f"“{label(match[0])}”" if match[0] in _KEYS else match[0], says)


def plain(says: str) -> str:
    """Return what the field table says without the marks of a text file, keys in words.

    >>> plain("a fan where it is below `blades`; see [Calibration](registration.md)")
    'A fan where it is below “Blades”; see “Calibration” in the docs.'
    >>> plain('only with `grain = "straight"`; see below')
    'Only with “Grain: straight”.'
    """
    text = _CODE.sub(_said, _LINK.sub(r"“\1” in the docs", _BELOW.sub("", says))).strip().rstrip(".")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _said(match: re.Match[str]) -> str:
    inside = match[1]
    if _KEY.fullmatch(inside):
        return f"“{label(inside.strip('[]'))}”"
    if written := _WRITTEN.fullmatch(inside):
        key, value = label(written[1]), written[2].strip('"')
        return f"“{key}”" if value == "true" else f"“{key}: {value}”"
    return f"“{inside.strip(chr(34))}”"
