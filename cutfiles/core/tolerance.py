"""Every epsilon of the project, named, with its reason. All in mm unless the name says otherwise."""

from __future__ import annotations

# Two points closer than this are one: well above the rounding of doubles at a few metres (1e-12),
# well below anything a machine can resolve (0.01).
SAME_POINT_MM = 1e-7

# How far a placement may sink into a forbidden zone before it counts as a collision. Pieces that
# touch exactly are the commonest case, and must not be refused for the last bit of a double.
TOUCH_MM = 1e-9

# What "at least the gap apart" is measured to.
GAP_CHECK_MM = 1e-6

# The grid to which overlays of polygons are rounded: far below what counts, and far above the last bit of a
# double, so that edges which all but coincide do coincide.
OVERLAY_MM = 1e-8

# How far the polygon that stands for an arc while nesting may stray outside it. Very little: it costs
# no yield, and the files get the true arc all the same.
NEST_ARC_MM = 0.005

# The same for an outline of very many corners: a little cloth against a lot of time.
NEST_ARC_MOST_MM = 0.08

# How far a part of few edges, that stands for one of many while overlap is minimised, may stray outside it.
SIMPLIFIED_STRAY_MM = 0.15
# The same where it only says where to look for room.
ROUGH_STRAY_MM = 1.5

# How far the region that two lopsided shapes keep each other out of may be straightened, outwards.
NO_FIT_STRAY_MM = 0.04

# How far chords may stray from an arc where a picture or a measurement needs points.
FLAT_ARC_MM = 0.01

# The same where areas and distances are compared, in `check` above all.
CHORD_MM = FLAT_ARC_MM / 10

# What two readings of one file, or a file and its layout, may differ by. Files carry four decimals
# of a mm.
FILE_MM = 2e-3

# A length that should land on a ruled mark (1/16 in, 1/2 in, 1 cm) may miss it by this much and
# still counts as on it, so that 13.000000000002 in isn't rounded up to 13 1/2 in.
RULE_MM = 1e-6

# What sticks out by less nobody trims: scissors follow a line to half of 1/16 in at best. Common practice,
# no published source.
TRIMMED_MM = 25.4 / 32

# Turns nearer than this are one turn, in degrees.
SAME_TURN_DEG = 1e-9

# How far the arcs that stand for a free curve of a drawing may stray from it. Half of the 0.01 mm
# that a machine resolves, so that a curve checked at some points keeps to that at all.
FIT_MM = 0.005

# How far arcs may stray from the ellipse that a circle becomes for a machine with two scales. Two such
# outlines side by side together stay below FILE_MM, so that their gap still measures right.
CALIBRATED_MM = 5e-4

# Ends of a drawing's lines nearer than this are joined: programs round what they export, and no
# knife sees a gap of half a tenth.
JOIN_MM = 0.05

# How far the chords of an arc may stray from it in HP-GL: with the 0.018 mm that rounding to whole plotter
# units moves a corner at most, lines keep within a plotter unit, 0.025 mm.
HPGL_CHORD_MM = 0.005

# The same in sewn-product DXF, where nothing is rounded so coarsely.
SEWN_CHORD_MM = 0.01

# Headings nearer than this run on without a corner, in radians: a twentieth of a degree, where no eye and
# no needle finds one.
SMOOTH_RAD = 1e-3

# No mat is longer: a coordinate beyond 100 m in a machine file is a slip, and measuring its arcs would
# never end.
MOST_MM = 100_000.0

# HP-GL counts in fortieths of a mm (HP PCL 5 reference, part II: a plotter unit is 0.025 mm), and its
# curves may be chords that stray by 0.02 mm. What lies that near is where it should be.
HPGL_STEP_MM = 0.025
HPGL_MM = 0.02 + HPGL_STEP_MM

# What two readings of a sewn-product file may differ by: its chords, and four decimals.
SEWN_MM = SEWN_CHORD_MM + FILE_MM

# A file is drawn at another scale if all of it is off by more than this share: half a mm on half a metre.
SCALE_SHARE = 1e-3

# How far the edge of a drawn scrap may be straightened, inwards, where it has arcs and where it has
# very many corners: cloth frays by more. The most is for pinked edges, which fray by their teeth.
CLOTH_ARC_MM = 0.1
CLOTH_STRAY_MM = 0.5
CLOTH_STRAY_MOST_MM = 2.0

# A corner over which a trailing knife's tip would stray by less than this needs no turn of its own. Half of
# the 0.01 mm that a machine resolves.
SWIVEL_STRAY_MM = 0.005

# A rest of a cut line between two that are cut anyway is left where it is no longer: rounded to HP-GL's units
# of 0.025 mm, both ways, it could become a stroke of no length. Threads of cloth are several times as thick.
LEAST_REST_MM = 0.036

# Cut lines nearer than this are one line and are cut once: no knife tells them apart, and it is ten times
# what files and placements are rounded to.
ONE_LINE_MM = 1e-3

# How far the cubic curves that stand for an arc in a PDF may stray from it. Half of what files may be off by,
# so that rounding leaves them below it.
BEZIER_MM = 1e-3

# How far a point of a PDF may lie from where it was meant: a file's rounding and a curve's straying.
PDF_MM = FILE_MM + BEZIER_MM
