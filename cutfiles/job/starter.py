"""The job that `cutfiles new` writes: it runs as it stands, and its comments say what to change."""

from __future__ import annotations

from cutfiles.core.units import Unit
from cutfiles.formats.registry import DEFAULT, FORMATS
from cutfiles.job.parse.section import either
from cutfiles.tips.registry import Tip

_NOTES_AT = 31  # the column in which the notes begin


def starter(unit: Unit) -> str:
    """Return a job whose bare numbers are in a unit, all of sizes that people use who measure in it."""
    text = _TEXT.format(
        unit=unit.value, files=_files(), tips=either(tuple(tip.value for tip in Tip)), **_SIZES[unit]
    )
    return "".join(_aligned(line) for line in text.splitlines(keepends=True))


def _aligned(line: str) -> str:
    """A line of which the note, if it has one, begins where all do."""
    key, mark, note = line.partition("  # ")
    return f"{key.rstrip() + '  ':<{_NOTES_AT}}# {note}" if mark and not key.startswith("#") else line


# Inches, and the nearest that is usual in metric: common practice, no published source.
_INCHES = {
    "blade": '"4 3/4"', "inner": '"1 1/4"', "seam": '"1/4"', "background": '"1/2"', "square": "5",
    "pinked": '"1/8"', "bolt": "42", "sailcloth": "18", "mat_width": "12", "mat_height": "24",
    "mat_margin": '"1/4"', "gap": '"1/16"',
}  # fmt: skip
_CENTIMETRES = {
    "blade": "12", "inner": "3.2", "seam": "0.6", "background": "1.2", "square": "13", "pinked": "0.3",
    "bolt": "107", "sailcloth": "45", "mat_width": "30", "mat_height": "60", "mat_margin": "0.6",
    "gap": "0.15",
}  # fmt: skip
_MILLIMETRES = {key: f"{float(text) * 10:g}" for key, text in _CENTIMETRES.items()}
_SIZES = {Unit.IN: _INCHES, Unit.CM: _CENTIMETRES, Unit.MM: _MILLIMETRES}

_TEXT = """\
# A job for cutfiles. Lines that begin with # are notes; every number here may be changed.
#   cutfiles size THIS-FILE              shows what the plate measures
#   cutfiles make THIS-FILE --out cut    writes the machine files and the job sheet into the folder "cut"

[job]
title = "My first plate"
unit = "{unit}"                    # a number without a unit is in this: in, cm or mm
# cut = "by hand"              # no machine? without the first # you get strips and a ruler's marks

[plate]
count = 1                      # plates to make
blades = 20                    # blades in a full circle, 3 to 60; add  sewn = 10  for a half circle
blade_length = {blade}         # give two of blade_length, inner_radius and finished_diameter
inner_radius = {inner}
seam = {seam}
tip = "folded"                 # {tips}

[centre]                       # the circle over the hole; delete the table for none
cover = {seam}                  # how far it reaches past the opening
turn = {seam}                   # turned under all round

[background]                   # the square underneath; delete the table for none
margin = {background}                 # between the tips and the seam line

[[fabric]]                     # one such table for each fabric
name = "tide"
width = {square}                      # crosswise
length = {square}                     # along the lengthwise grain
pieces = 8                     # how many pieces of this size there are
print = "plain"                # plain, two-way (as a stripe is), one-way or four-way
margin = {pinked}                 # kept clear inside each edge
cuts = {{ blade = "rest" }}      # a number, "rest" or "fill"

[[fabric]]
name = "shingle"
width = {square}
length = {square}
pieces = 10
print = "one-way"              # every blade points the same way up the print
margin = {pinked}
cuts = {{ blade = 10 }}

[[fabric]]
name = "lantern"
width = {square}
length = {square}
margin = {pinked}
cuts = {{ centre = "rest" }}

[[fabric]]                     # backgrounds lie right side up, so that guides can be drawn on them
name = "sailcloth"
width = {bolt}
length = {sailcloth}
cuts = {{ background = "rest" }}

[mat]
width = {mat_width}
height = {mat_height}
margin = {mat_margin}                 # what the machine can't reach, all round

[machine]
gap = {gap}                   # least distance between cut lines
draw = ["sew", "fold", "label"]   # also "grain" and "notch"; [] if the machine has no pen

[output]
{files}

# To cut templates of acrylic or card, too, take the signs # away:
# [[template]]
# shape = "blade"              # also blade-window, centre, centre-cut, centre-ring, placement
#
# [stock]
# width = "300 mm"
# height = "200 mm"
# kerf = "0.2 mm"              # what the laser burns away
"""


def _files() -> str:
    *others, last = (f'"{name}"' for name in FORMATS if name not in DEFAULT)
    chosen = ", ".join(f'"{name}"' for name in DEFAULT)
    return f"files = [{chosen}]        # also {', '.join(others)} and {last}"
