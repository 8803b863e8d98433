"""Sewing steps, by tip, ring or fan, centre and background. Common practice; no published source."""

from __future__ import annotations

from collections import Counter

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, shown
from cutfiles.core.words import counted, listed
from cutfiles.job.model.job import BACKING, BINDING, CentreKind, Job, Setting
from cutfiles.pieces.plate_shapes import guides
from cutfiles.plate.finished import is_ring
from cutfiles.plate.joining import Group, joining
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.plate.seam_tolerance import pair_width_mm
from cutfiles.plate.stitching import STITCHES_PER_INCH, stitching
from cutfiles.plate.strips import end_for_end, one_way
from cutfiles.plate.words import cut_size, joined_part, trimmed_size
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, steps
from cutfiles.sheet.markup.words import degrees, measured_degrees, of_shape
from cutfiles.sheet.pictures.sewing.bands import band_stages
from cutfiles.sheet.pictures.sewing.centre import centre_stages
from cutfiles.sheet.pictures.sewing.figures import SewingPictures
from cutfiles.sheet.pictures.sewing.joins import join_stages
from cutfiles.sheet.pictures.sewing.placing import placing_stages

# Between hand stitches in a fold; common practice.
_STITCH = {Unit.IN: "1/4 in", Unit.CM: "6 mm", Unit.MM: "6 mm"}
# A strip across the cloth, between selvedges; usable widths from memory.
_STRIP = {
    Unit.IN: (42 * MM_PER_INCH, "42 in"),
    Unit.CM: (1070.0, "107 cm"),
    Unit.MM: (1070.0, "1070 mm"),
}
_LEGEND = (
    "In the pictures the right side is shaded and the wrong side white; short dashes are stitches, dots "
    "and dashes a fold; black is cut off."
)
_KINDS = {1: ("single blade", "single blades"), 2: ("pair", "pairs"), 4: ("four", "fours")}


def sewing_section(job: Job, plate: Plate, *, guided: bool) -> Element:
    """Return the steps from cut blades to the finished block, with their pictures, in the order of sewing.

    `guided` says whether lines to lay the plate by are drawn on its background.
    """
    what = _what(plate)
    seam = shown(plate.blade.seam_mm, job.unit)
    each = f"Do this for each of the {counted(plate.count, what)}. " if plate.count > 1 else ""
    parts: list[Content] = []
    pictures = SewingPictures(job.unit)
    blades = f"The {plate.sewn} blades" if plate.sewn > 1 else "The blade"
    of_tip = [*band_stages(plate), *plate.blade.tip.finish.stages(plate.blade)]
    for heading, figures, instructions in (
        (f"{blades} of a {what}", pictures.row(of_tip), _tip(job, plate)),
        ("Join them", pictures.row(join_stages(plate)), _joins(plate, job.unit)),
        ("The centre", pictures.strip("The centre", centre_stages(plate)), _centre(plate, job.unit)),
        (
            "Put it together",
            pictures.row(placing_stages(plate, guided=guided)),
            _together(plate, job.unit, guided=guided),
        ),
    ):
        if instructions:
            above = html("div", html("h3", heading), *figures, class_="above")
            parts += [above, steps(instructions)]
    of_quilt = (BINDING, BACKING) if job.quilt else ()  # told with the quilt
    own = [of_shape(spec.count, spec.name) for spec in job.outlines if spec.name not in of_quilt]
    if own:
        parts.append(paragraph(f"{listed(own)}: sew as your own pattern says."))
    intro = paragraph(f"{each}Seams are {seam}, right sides together. {_thread(plate, job.unit)} {_LEGEND}")
    return section("Sewing", intro, html("div", *parts, class_="columns"), class_="sewing")


def _thread(plate: Plate, unit: Unit) -> str:
    """How much there is to sew, for whoever winds a bobbin or plans an evening by hand."""
    found, what = stitching(plate), _what(plate)
    by_machine = [
        f"{_about(mm, unit)} {where}"
        for mm, where in (
            (found.sides_mm, "between the blades"),
            (found.bands_mm, "between their bands"),
            (found.tips_mm, "across the tips"),
        )
        if mm
    ]
    edge_mm, its = (found.edge_mm, "its") if plate.background else (0.0, "the")
    by_hand = edge_mm + found.centre_mm
    around = ([f"the {what}"] if edge_mm else []) + ([f"{its} centre"] if plate.centre else [])
    parts = [f"{listed(by_machine)} by machine"] if by_machine else []
    if by_hand:
        stitches = round(by_hand / MM_PER_INCH * STITCHES_PER_INCH)
        parts.append(f"{_about(by_hand, unit)} round {listed(around)} by hand, about {stitches} stitches")
    return f"To sew in a {what}: {'; '.join(parts)}." if parts else ""


def _about(mm: float, unit: Unit) -> str:
    """A length of thread: nobody measures it more closely than to an inch or a centimetre."""
    if unit is Unit.IN:
        return f"{round(mm / MM_PER_INCH)} in"
    return f"{round(mm / 10)} cm" if unit is Unit.CM else f"{round(mm / 10) * 10} mm"


def _what(plate: Plate) -> str:
    return "plate" if is_ring(plate) else "fan"


def _tip(job: Job, plate: Plate) -> list[Content]:
    blade = plate.blade
    first = "Press the blades flat."
    if job.machine.draw:
        first = (
            "Press the blades flat, if the pen's lines stand the iron; if heat sets them, press with your "
            "fingers until they are out."
        )
    return [
        first,
        *_bands(plate, job.unit),
        *blade.tip.finish.steps(blade, shown=lambda mm: shown(mm, job.unit)),
    ]


def _bands(plate: Plate, unit: Unit) -> list[Content]:
    """Pieced blades: band to band, or strips first. Common practice; no published source."""
    if not plate.bands:
        return []
    blade, seam = plate.blade, shown(plate.blade.seam_mm, unit)
    wide = _STRIP[unit]
    strips = listed([f"{shown(band.strip_mm, unit)} ({band.name})" for band in plate.bands])
    names = [band.name for band in plate.bands]
    at = listed([shown(radius, unit) for radius in plate.bands_mm])
    return [
        f"Join the bands of each blade, {listed(names)}, innermost first: right sides together, middles and "
        f"ends of the sew lines matching, {seam} seams, which then lie {at} from the middle of the plate. "
        f"Press each seam towards the outer band.",
        f"Or sew strips first, in place of cutting bands: strips {strips} wide, joined lengthwise in that "
        f"order, make one strip of {shown(blade.length_mm, unit)}, from which whole blades are cut. From one "
        f"{wide[1]} long come {one_way(blade, wide[0])} blades all one way; end for end "
        f"{end_for_end(blade, wide[0])}, but every other one then has its bands the other way round.",
    ]


def _joins(plate: Plate, unit: Unit) -> list[Content]:
    if plate.sewn < 2:
        return []
    blade = plate.blade
    instructions: list[Content] = ["Lay the blades out in the order you like before you sew any."]
    if plate.second:
        instructions.append(
            "Long and short blades stand in turn. Turn under a seam of the side that a longer blade shows "
            f"beyond the shorter one's valley, {shown(plate.step_mm, unit)} of it, and press: do it before "
            "you join them, as far down as the shorter one will reach."
        )
    hidden = ", under the centre" if plate.centre else ""
    instructions.append(
        f"Join two, right sides together, from the wide end to the narrow end, "
        f"{blade.tip.finish.words.meeting}. Lock the first stitches. What one is longer then ends up at the "
        f"narrow end{hidden}."
    )
    instructions.append(
        f"Press the seam of this first pair to one side and measure it: {shown(pair_width_mm(blade), unit)} "
        f"across the narrow end, from outer corner to outer corner. Mend the seam before you go on."
    )
    instructions += _stages(plate)
    if plate.sewn > 2:
        instructions += _checks(plate)
    if is_ring(plate):
        instructions.append(
            f"Join the {'halves' if plate.sewn % 2 == 0 else 'two parts'} with the last two seams. What is "
            f"left of small errors shows here: ease it in over both."
        )
    instructions.append("Press all seams the same way round, from the back, then from the front.")
    if plate.centre is None and plate.blade.opening_radius_mm < RULE_MM and plate.sewn > 2:
        instructions.append(
            f"All {plate.sewn} blades end in one point. Trim the seams there, one shorter than the next, so "
            f"that it lies flat. Where they miss each other, a circle or a yo-yo covers it: add [centre] to "
            f"the job."
        )
    return instructions


def _stages(plate: Plate) -> list[Content]:
    """A step for each round of joining: what is joined, and what is left over."""
    plan = joining(plate)
    instructions: list[Content] = []
    single = plate.sewn - 2 * len(plan.pairs)
    if len(plan.pairs) > 1 or single:
        left = f"; {counted(single, 'blade')} {'is' if single == 1 else 'are'} left over" if single else ""
        instructions.append(f"Join the blades in pairs: {counted(len(plan.pairs), 'pair')} in all{left}.")
    if plan.fours:
        spare = len(plan.pairs) - 2 * len(plan.fours)
        left = f"; {counted(spare, 'pair')} {'is' if spare == 1 else 'are'} left over" if spare else ""
        instructions.append(f"Join the pairs in fours: {counted(len(plan.fours), 'four')} in all{left}.")
    alike = Counter(plan.parts)
    for part, count in alike.items():
        if part.seams:
            instructions.append(_part(plate, part, count))
    return instructions


def _part(plate: Plate, part: Group, count: int) -> str:
    counts = Counter(part.of)
    of = listed([f"{number} {_KINDS[size][number != 1]}" for size, number in counts.items()])
    if not is_ring(plate):
        return f"Join {of} to the whole fan of {part.blades} blades."
    name = "half" if 2 * part.blades == plate.sewn else "part"
    twice = f" Make {count} of these." if count > 1 else ""
    return f"Join {of} to a {name} of {part.blades} blades.{twice}"


def _checks(plate: Plate) -> list[Content]:
    """Lay down each part that has two seams or more, or a pair where there is no more."""
    step = 2 * plate.blade.half_angle_deg
    sizes = [part.blades for part in joining(plate).parts if part.blades > 1]
    instructions: list[Content] = []
    for size in dict.fromkeys(sizes):
        angle = size * step
        each = "each" if sizes.count(size) > 1 else "the"
        which = f"Lay {each} {joined_part(plate, size)} of {size} blades down"
        if abs(angle - 180.0) < 1e-9:
            instructions.append(
                f"{which}: its two outer edges must make one straight line, through the middle. See “How "
                f"exact the seams must be” if they don't."
            )
        else:
            instructions.append(
                f"{which}: the angle between its two outer edges must be {measured_degrees(angle)}. See “How "
                f"exact the seams must be” if it isn't."
            )
    return instructions


def _centre(plate: Plate, unit: Unit) -> list[Content]:
    """How the circle is made ready; sewing it down comes last."""
    if plate.centre is None or plate.centre.cut_radius_mm <= plate.centre.finished_radius_mm:
        return []
    if plate.centre.kind is CentreKind.YO_YO:
        return _yo_yo(plate.centre, unit)
    finished = plate.centre.finished_radius_mm
    turn = plate.centre.cut_radius_mm - finished
    if plate.is_in_seam:
        return [
            f"Take a template of card or metal with an arc {shown(finished, unit)} from its middle.",
            f"Run a gathering stitch along the arc alone, within the {shown(turn, unit)} that is turned "
            f"under. The straight edges stay raw: they lie in the block's seams.",
            "Lay the template on the wrong side, draw the thread up over its arc, evenly, and press.",
            "Let it cool, slide the template out and press once more.",
        ]
    return [
        f"Take a round template {shown(2 * finished, unit)} across, of card or metal.",
        f"Run a gathering stitch around the cut circle, within the {shown(turn, unit)} that is turned under.",
        "Centre the template on the circle's wrong side and draw the thread up over it, evenly.",
        "Press well and let it cool.",
        "Slide the template out, draw the thread up again, and only now knot it. Press once more.",
    ]


def _yo_yo(centre: Centre, unit: Unit) -> list[Content]:
    """A circle drawn up on itself. Common practice; no published source."""
    turn = centre.cut_radius_mm - centre.fold_radius_mm
    turned = f"turn {shown(turn, unit)} under all round and " if turn > RULE_MM else ""
    return [
        f"Take a strong thread, doubled and knotted. On the circle's wrong side {turned}run stitches of "
        f"about {_STITCH[unit]} close to the fold, all round.",
        "Draw the thread up until the edge closes in the middle, and knot it.",
        f"Flatten it with your fingers: it measures {shown(2 * centre.finished_radius_mm, unit)} across, the "
        f"gathers in the middle of the side that is seen. Press lightly, if at all.",
    ]


def _together(plate: Plate, unit: Unit, *, guided: bool) -> list[Content]:
    """Plate on background, then the centre: each sewn down once."""
    instructions: list[Content] = []
    what, blade = _what(plate), plate.blade
    if not is_ring(plate) and not plate.is_in_seam:
        instructions.append(
            f"Turn the fan's two outer edges under by {shown(blade.seam_mm, unit)} and press them, unless "
            f"they will lie in a seam."
        )
    if plate.background:
        instructions += _laid_down(plate, plate.background, unit, guided=guided)
        instructions.append(
            f"Sew the edge of the {what} down by hand in the fold, stitches about {_STITCH[unit]} apart, or "
            f"by machine close to the edge{blade.tip.finish.words.edge}."
        )
    if plate.centre and plate.is_in_seam:
        edge = f"Sew it down by hand in the fold, stitches about {_STITCH[unit]} apart"
        turned = plate.centre.cut_radius_mm > plate.centre.finished_radius_mm
        instructions.append(
            f"Lay the centre over the opening, raw edges on the background's raw edges, and pin. "
            f"{edge if turned else 'Sew its arc down as it is'}. Baste all raw edges within the seam."
        )
    elif plate.centre and plate.centre.kind is CentreKind.YO_YO:
        instructions.append(
            "Lay the yo-yo over the opening, gathers up, the same width of cover all round, and pin. Sew it "
            "down by hand in its fold."
        )
    elif plate.centre:
        cut = plate.centre.cut_radius_mm
        if cut > plate.centre.finished_radius_mm:
            instructions.append(
                f"Lay the centre over the opening, the same width of cover all round, and pin. Sew it down "
                f"by hand in the fold, stitches about {_STITCH[unit]} apart, or by machine close to the edge."
            )
        else:
            instructions.append(
                f"Lay the circle of {shown(2 * cut, unit)} over the opening and sew its edge down as it is."
            )
    if instructions:
        instructions.append("Count pins and needles. Press from the back on something soft.")
    if plate.background and plate.background.trim_mm:
        instructions.append(_trimmed(plate, plate.background, unit))
    return instructions


def _laid_down(plate: Plate, background: Background, unit: Unit, *, guided: bool) -> list[Content]:
    """The plate on its background: by creases, or a fan's raw edges on the background's."""
    what, size = _what(plate), cut_size(background, unit)
    # The guides end within the line from valley to valley.
    hides = " It hides the lines drawn there: they end below its valleys." if guided and guides(plate) else ""
    # An iron would set the guides, which may have been drawn by now.
    by_fingers = "pressing with your fingers"
    if not plate.is_in_seam:
        side = shown(background.cut_width_mm, unit)
        return [
            f"Fold the {side} square in half twice, {by_fingers}: the creases cross in its middle.",
            f"Lay the {what} on the background's right side, its own right side up. {_on_creases(plate)}"
            f"{hides} Pin from the middle outwards.",
        ]
    where = "in its corner, raw edges on the raw edges of two sides"
    steps: list[Content] = []
    if plate.setting is Setting.EDGE:
        where = "along a long edge of it, the middle of the fan on the crease, raw edges on raw edges"
        steps.append(f"Fold the background of {size} in half across its long edges, {by_fingers}.")
    steps.append(
        f"Lay the fan on the background's right side, its own right side up, {where}: the seams of the block "
        f"will hold them.{hides} Pin from there outwards."
    )
    return steps


def _trimmed(plate: Plate, background: Background, unit: Unit) -> str:
    """Where the ruler measures from: the plate's middle, sewing draws the cloth in unevenly."""
    size = trimmed_size(background, unit)
    if not plate.is_in_seam:
        half = shown(background.trimmed_mm[0] / 2, unit)
        return f"Trim the block to {size}: {half} from the middle of the plate to each side."
    if plate.setting is Setting.CORNER:
        return f"Trim the two sides away from the fan: {size}, measured from its corner."
    return (
        f"Trim the three sides away from the fan: {size}, as much to the left as to "
        f"the right of the fan's middle."
    )


def _on_creases(plate: Plate) -> str:
    """How the plate lies on the creases, by its number of blades."""
    sewn, share = plate.sewn, degrees(plate.blade.half_angle_deg)
    if not is_ring(plate):
        middle = "its middle seam" if sewn % 2 == 0 else "the middle of its middle blade"
        return f"Let {middle} lie on a crease, the middle of its circle where the creases cross."
    if sewn % 4 == 0:
        return f"Let seams lie on all four creases; or turn it by {share}, and tips do."
    if sewn % 2 == 0:
        return "Let seams lie on both ends of one crease; on the other crease then lie tips."
    return (
        "Let a seam lie on one end of a crease; a tip then lies on the other end, and neither on the other "
        "crease."
    )
