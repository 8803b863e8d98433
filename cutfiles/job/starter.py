"""The job that `cutfiles new` writes: it runs as it stands, and its comments say what to change."""

from __future__ import annotations

from cutfiles.formats.registry import DEFAULT, FORMATS

_TEXT = """\
# A job for cutfiles. Lines that begin with # are notes; every number here may be changed.
#   cutfiles size THIS-FILE              shows what the plate measures
#   cutfiles make THIS-FILE --out cut    writes the machine files and the job sheet into the folder "cut"

[job]
title = "My first plate"
unit = "in"                    # a number without a unit is in this: in, cm or mm

[plate]
count = 1                      # plates to make
blades = 20                    # blades in a full circle, 3 to 60; add  sewn = 10  for a half circle
blade_length = "4 3/4"         # give two of blade_length, inner_radius and finished_diameter
inner_radius = "1 1/4"
seam = "1/4"
tip = "folded"                 # folded, round or flat

[centre]                       # the circle over the hole; delete the table for none
cover = "1/4"                  # how far it reaches past the opening
turn = "1/4"                   # turned under all round

[background]                   # the square underneath; delete the table for none
margin = "1/2"                 # between the tips and the seam line

[[fabric]]                     # one such table for each fabric
name = "tide"
width = 5                      # crosswise
length = 5                     # along the lengthwise grain
pieces = 8                     # how many pieces of this size there are
print = "plain"                # plain, two-way, one-way or four-way
margin = "1/8"                 # kept clear inside each edge
cuts = { blade = "rest" }      # a number, "rest" or "fill"

[[fabric]]
name = "shingle"
width = 5
length = 5
pieces = 10
print = "one-way"              # every blade points the same way up the print
margin = "1/8"
cuts = { blade = 6 }

[[fabric]]
name = "lantern"
width = 42
length = 18
cuts = { centre = "rest", background = "rest" }

[mat]
width = 12
height = 24
margin = "1/4"                 # what the machine can't reach, all round

[machine]
gap = "1/16"                   # least distance between cut lines
draw = ["sew", "fold", "label"]   # also "grain" and "notch"; [] if the machine has no pen

[output]
@FILES@

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


STARTER = _TEXT.replace("@FILES@", _files())
