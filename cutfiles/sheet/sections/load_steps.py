"""One section a load: its picture, its files, and what to do at the machine, in order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from cutfiles.core.units import Unit, shown
from cutfiles.core.words import listed
from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.formats.model.style import OutputStyle
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.formats.registry import FORMATS, Audience, Format, format_of
from cutfiles.job.model.job import Job, Print, Register
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric
from cutfiles.output.machine_files import style_of
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, steps, table
from cutfiles.sheet.markup.words import of_shape, ruled
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.load import Bench, legend_drawing, load_drawing
from cutfiles.sheet.pictures.load_texts import letter
from cutfiles.sheet.pictures.motifs import motif_words
from cutfiles.toolpath.split import PARTS


def load_sections(
    job: Job, layout: Layout, plan: CutPlan, files: tuple[str, ...], cloths: Cloths
) -> list[Element]:
    """Return a section for each load, in the order to run them; what holds for all stands in the first."""
    bench = Bench(layout, job.mat, job.machine.register, cloths)
    pairs = list(zip(layout.loads, plan.loads, strict=True))
    sections = [
        _section(
            job,
            load,
            load_plan,
            bench,
            heading=f"Load {number} of {len(pairs)}",
            written=files,
            is_first=number == 1,
        )
        for number, (load, load_plan) in enumerate(pairs, start=1)
    ]
    return [_reading(job, plan.loads, bench), *sections] if sections else []


def _reading(job: Job, plans: Sequence[LoadPlan], bench: Bench) -> Element:
    """How all the pictures are to be read."""
    mat = f"{shown(job.mat.width_mm, job.unit)} × {shown(job.mat.height_mm, job.unit)}"
    parts: list[Content] = [
        paragraph(
            f"The pictures show the mat of {mat} from above, its lower edge nearest to you. Pieces carry "
            f"their label or its numbers."
        )
    ]
    if any(plan.strokes_of(Tool.REGISTER) for plan in plans):
        back = (
            ""
            if job.split
            else " Should the mat come out before all is cut, lay it back so that the pen meets them."
        )
        parts.append(paragraph(f"Register marks are {_marks(job)}{back}"))
    return section("On the mat", *parts, html("figure", legend_drawing(bench, plans)))


def _section(
    job: Job,
    load: Load,
    plan: LoadPlan,
    bench: Bench,
    *,
    heading: str,
    written: tuple[str, ...],
    is_first: bool,
) -> Element:
    parts: list[Content] = [html("h2", f"{heading}: {load.name}")]
    files, others, printed = (files_for(audience, written, load) for audience in Audience)
    if others:
        whom = "For programs that take whole pieces, not for the machine: "
        parts.append(paragraph(whom, html("span", ", ".join(others), class_="files")))
    if printed:
        how = "To print on paper, at 100 % (“actual size”), and to measure before use: "
        parts.append(paragraph(how, html("span", ", ".join(printed), class_="files")))
    figure = html("figure", load_drawing(load, plan, bench, legend=False))
    instructions = _steps(job, load, plan, files or printed, is_first=is_first)
    words = (_fabrics(load, job.unit), steps(instructions))
    if bench.is_beside:
        parts.append(html("div", figure, html("div", *words), class_="beside"))
    else:
        parts += [figure, *words]
    return html("section", *parts, class_="load")


def _fabrics(load: Load, unit: Unit) -> Element:
    headings = ("Letter", "Fabric, piece", "Across × along the grain", "Lower left corner, on the mat")
    rows: list[list[Content]] = [
        [
            letter(index),
            f"{laid.fabric}, {laid.piece}",
            f"{ruled(laid.width_mm, unit)} × {ruled(laid.length_mm, unit)}",
            f"{ruled(laid.x_mm, unit)} right, {ruled(laid.y_mm, unit)} up",
        ]
        for index, laid in enumerate(load.fabrics)
    ]
    return table(headings, ([row] for row in rows))


def _steps(job: Job, load: Load, plan: LoadPlan, files: tuple[str, ...], *, is_first: bool) -> list[Content]:
    instructions: list[Content] = [
        _place(job, load, plan, files),
        _lay(job, load),
        _arrows(load),
        *_print_ways(job, load),
    ]
    instructions += [motif_words(letter(index), laid, job) for index, laid in enumerate(load.fabrics)]
    instructions.append("Smooth the fabric flat without stretching it; every edge must stick.")
    if files_for(Audience.PRINTER, files, load):
        instructions += on_paper(files)
    elif _is_split(job, plan):
        instructions += _two_machines(job, plan, files)
    elif is_first:
        instructions += _one_machine(job, plan, files)
    else:
        instructions += _as_before(job, plan, files)
    instructions.append(f"Lift off and count: {_counted(load.fabrics)}. Stack them by fabric.")
    return [step for step in instructions if step]


def _place(job: Job, load: Load, plan: LoadPlan, files: tuple[str, ...]) -> str:
    """The first step where the pen draws beforehand where fabric is laid; empty where it doesn't."""
    of_machine = files_for(Audience.MACHINE, files, load)
    parts = [name for name in of_machine if f"-{PARTS[Tool.CUT]}." not in name]
    named = where(Tool.PLACE, parts, style_of(job))
    if not plan.strokes_of(Tool.PLACE) or not parts:
        return ""
    return (
        f"Before any fabric lies there: put a pen in that wipes off the mat, or tape paper on it, open the "
        f"file and run place alone ({named}). It draws the outline of every piece of fabric: lay each into "
        f"its own."
    )


def _is_split(job: Job, plan: LoadPlan) -> bool:
    """Whether pen and knife have files of their own."""
    return job.split and bool(plan.strokes_of(Tool.DRAW))


def _one_machine(job: Job, plan: LoadPlan, files: tuple[str, ...]) -> list[str]:
    style = style_of(job)
    instructions = [to_open(files)]
    first = plan.strokes_of(Tool.DRAW) or plan.strokes_of(Tool.REGISTER)
    if plan.strokes_of(Tool.DRAW):
        named = where(Tool.DRAW, files, style)
        instructions.append(f"Put the pen in. Run draw ({named}). The mat stays in.")
        instructions += _by_scissors(job)
    if plan.strokes_of(Tool.REGISTER):
        pen = "" if plan.strokes_of(Tool.DRAW) else "Put the pen in. "
        instructions.append(f"{pen}Run register ({where(Tool.REGISTER, files, style)}).")
    knife = "Change the pen for the knife" if first else "Put the knife in"
    instructions.append(f"{knife}. Run cut ({where(Tool.CUT, files, style)}).")
    return instructions


def _as_before(job: Job, plan: LoadPlan, files: tuple[str, ...]) -> list[str]:
    """A later load at the same machine: what each part of the file is called was told at the first."""
    instructions = [f"Open {' or '.join(files)} as at load 1."] if files else []
    drawn, marked = plan.strokes_of(Tool.DRAW), plan.strokes_of(Tool.REGISTER)
    if drawn or marked:
        runs = " Run draw." * bool(drawn)
        instructions.append(f"Put the pen in.{runs}{' Run register.' if marked else ''}")
    instructions.append(
        f"{'Change the pen for the knife' if drawn or marked else 'Put the knife in'}. Run cut."
    )
    return instructions


def _two_machines(job: Job, plan: LoadPlan, files: tuple[str, ...]) -> list[str]:
    style = style_of(job)
    drawn = tuple(name for name in files if f"-{PARTS[Tool.DRAW]}." in name)
    cut = tuple(name for name in files if f"-{PARTS[Tool.CUT]}." in name)
    instructions = [
        f"At the machine with the pen: {to_open(drawn)}",
        f"Run draw ({where(Tool.DRAW, drawn, style)}).",
    ]
    if plan.strokes_of(Tool.REGISTER):
        instructions.append(f"Run register ({where(Tool.REGISTER, drawn, style)}).")
    instructions.append("Carry the mat to the machine with the knife; the fabric must not move on it.")
    instructions.append(to_open(cut))
    if plan.strokes_of(Tool.REGISTER):
        instructions.append(
            f"Lay the mat so that the marks on it lie under those of the file: the tool, blade up, meets all "
            f"three where the file has them. Don't cut the marks ({where(Tool.REGISTER, cut, style)})."
        )
    instructions.append(f"Put the knife in. Run cut ({where(Tool.CUT, cut, style)}).")
    return instructions


def _by_scissors(job: Job) -> list[str]:
    """What to do where the pen drew the cut lines, too."""
    if Drawn.CUT not in job.machine.draw:
        return []
    return [
        "The outermost line of each piece is its cut line. To cut with scissors, lift the cloth off now, cut "
        "along those lines, and leave the run of cut out."
    ]


def _marks(job: Job) -> str:
    """What the register marks look like and how they tell that a sheet lies the wrong way round."""
    mark, odd = ("rings", "with a cross in it")
    if job.machine.register is Register.CROSS:
        mark, odd = ("crosses", "with a ring round it")
    return (
        f"{mark} in three corners of the mat, the lower right one {odd}; the upper right corner stays empty. "
        f"If they look otherwise, the mat lies turned or flipped."
    )


def _letters(load: Load, laid: Iterable[PlacedFabric]) -> str:
    """The letters of some of a load's fabrics; runs are drawn together."""
    wanted = [load.fabrics.index(fabric) for fabric in laid]
    runs: list[list[int]] = []
    for index in wanted:
        if runs and index == runs[-1][-1] + 1:
            runs[-1].append(index)
        else:
            runs.append([index])
    names = []
    for run in runs:
        if len(run) > 2:
            names.append(f"{letter(run[0])} to {letter(run[-1])}")
        else:
            names += [letter(index) for index in run]
    return listed(names)


def _lay(job: Job, load: Load) -> str:
    groups: dict[str, list[PlacedFabric]] = {}
    for laid in load.fabrics:
        groups.setdefault(laid.face.value, []).append(laid)
    if len(groups) == 1:
        which = "the fabric" if len(load.fabrics) == 1 else f"{_letters(load, load.fabrics)}"
        return f"Lay {which} on the mat as in the picture, {next(iter(groups))}."
    ways = [f"{_letters(load, laid)} {face}" for face, laid in groups.items()]
    return f"Lay the fabrics on the mat as in the picture: {'; '.join(ways)}."


def _arrows(load: Load) -> str:
    groups: dict[str, list[PlacedFabric]] = {}
    for laid in load.fabrics:
        way = "away from you" if laid.turn_deg == 0 else "to the left"
        groups.setdefault(way, []).append(laid)
    if len(groups) == 1:
        them = "it" if len(load.fabrics) == 1 else "them"
        return f"Turn {them} so that the lengthwise grain arrow points {next(iter(groups))}."
    ways = [f"{way} on {_letters(load, laid)}" for way, laid in groups.items()]
    return f"Turn them so that the lengthwise grain arrow points {' and '.join(ways)}."


def _print_ways(job: Job, load: Load) -> list[str]:
    """Where the direction along the grain matters too."""
    prints = {fabric.name: fabric.print_ for fabric in job.fabrics}
    laid = [placed for placed in load.fabrics if prints[placed.fabric] is Print.ONE_WAY]
    if not laid:
        return []
    return [f"The print runs one way on {_letters(load, laid)}: its top lies where the arrow points."]


def _counted(laid: tuple[PlacedFabric, ...]) -> str:
    counts: Counter[tuple[str, str]] = Counter()
    for placed in laid:
        counts.update((placed.fabric, placement.shape) for placement in placed.placements)
    return listed([f"{of_shape(count, shape)} of {fabric}" for (fabric, shape), count in counts.items()])


def files_for(audience: Audience, files: Sequence[str], load: Load) -> tuple[str, ...]:
    """Return a load's files that are for a machine, for other programs, or to be printed."""
    own = [name for name in files if name.startswith((f"{load.name}.", f"{load.name}-"))]
    return tuple(
        name for name in own if any(file_format.audience is audience for file_format in _formats((name,)))
    )


def _formats(files: Sequence[str]) -> tuple[Format, ...]:
    """The formats of some files, in the registry's order."""
    there = {format_of(name) for name in files}
    return tuple(file_format for file_format in FORMATS.values() if file_format in there)


def to_open(files: Sequence[str]) -> str:
    """Return the step that opens one of the files; empty where there is none."""
    if not files:
        return ""
    cautions = [file_format.to_open for file_format in _formats(files) if file_format.to_open]
    return " ".join([f"Open {' or '.join(files)} at true size: nothing scaled, nothing moved.", *cautions])


def on_paper(files: Sequence[str]) -> list[str]:
    """Return the steps of a load that no machine cuts."""
    return [
        f"Print {' and '.join(files)} at 100 % (“actual size”, no “fit to page”), its first page first: only "
        "if both squares on it measure right print the rest. Trim and join the pages as it says.",
        "Lay the joined paper over the fabric, the edges of the mat on it over those of the mat, and pin or "
        "weigh it down where nothing is cut.",
        "Trace what is in dashes, then cut along the solid outlines, through paper and fabric: ruler and "
        "rotary cutter, away from your hands.",
    ]


def where(tool: Tool, files: Sequence[str], style: OutputStyle) -> str:
    """Return what a tool's strokes are called in each kind of file."""
    named = dict.fromkeys(file_format.where(tool, style=style) for file_format in _formats(files))
    return ", ".join(words for words in named if words) or f"the part called “{tool.value}”"
