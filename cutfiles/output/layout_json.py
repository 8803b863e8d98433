"""`layout.json`: everything that the files were written from, and the sums by which we know our own."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from cutfiles.core.errors import CutfilesError
from cutfiles.formats.model.numbers import rounded
from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.geometry.outline import Circle, Contour, area
from cutfiles.job.model.job import Job, MachineSpec, MatSpec
from cutfiles.nest.base.layout import Bought, Layout, Left, Load, PlacedFabric, Strip
from cutfiles.pieces.shape import Shape
from cutfiles.plate.sizes import Json
from cutfiles.toolpath.cut.kerf import cut_lines
from cutfiles.toolpath.template_sheets import TemplateSheets

LAYOUT_NAME = "layout.json"
FORMAT = "cutfiles layout"
VERSION = 1
_PLACES = 6  # of a mm or a degree
_BULGE_PLACES = 9  # over an arc of a metre the sixth moves its middle by a quarter of a thousandth of a mm


def layout_json(
    job: Job, sizes: Json, layout: Layout, plan: CutPlan, templates: TemplateSheets | None = None
) -> Json:
    """Return the layout as one JSON object, without the sums of the files."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "title": job.title,
        "unit": job.unit.value,
        "sizes": sizes,
        **_bed(job.mat, job.machine),
        "layers": {
            "draw": {"name": job.layers.draw.name, "colour": job.layers.draw.colour},
            "register": {"name": job.layers.register.name, "colour": job.layers.register.colour},
            "cut": {"name": job.layers.cut.name, "colour": job.layers.cut.colour},
            **_place_layer(job),
        },
        **_laid_out(layout, plan, job.machine.kerf_mm),
        "rough_cuts": [
            {
                "fabric": cut.fabric,
                "piece": cut.piece,
                "x_mm": cut.x_mm,
                "y_mm": cut.y_mm,
                "width_mm": cut.width_mm,
                "length_mm": cut.length_mm,
                "face": cut.face.value,
                "goes_to": cut.goes_to,
            }
            for cut in layout.rough_cuts
        ],
        "plates": [_plate(order, len(job.plate.bands_mm) + 1) for order in layout.plates],
        "hand_cuts": [
            {"fabric": cut.fabric, "shape": cut.shape, "count": cut.count} for cut in layout.hand_cuts
        ],
        **({"strips": [_strip(strip) for strip in layout.strips]} if layout.strips else {}),
        "notes": [*layout.notes, *plan.notes],
        **({"templates": _templates(templates)} if templates else {}),
    }


def _place_layer(job: Job) -> Json:
    place = job.layers.place
    return {"place": {"name": place.name, "colour": place.colour}} if job.machine.place else {}


def _strip(strip: Strip) -> Json:
    """A strip cut by hand, and where it is marked along both its long edges."""
    return {
        "fabric": strip.fabric,
        "piece": strip.piece,
        "x_mm": strip.x_mm,
        "y_mm": strip.y_mm,
        "width_mm": strip.width_mm,
        "length_mm": strip.length_mm,
        "shape": strip.shape,
        "count": strip.count,
        "lie": strip.lie.value,
        "turn_deg": strip.turn_deg,
        "top_mm": list(strip.top_mm),
        "bottom_mm": list(strip.bottom_mm),
    }


def _plate(order: Sequence[str], pieces: int) -> Json:
    """The fabric of each blade; of a pieced one that of its outermost band, and then those of all bands."""
    bands = {"bands": [list(order[band::pieces]) for band in range(pieces)]} if pieces > 1 else {}
    return {"order": list(order[pieces - 1 :: pieces]), **bands}


def _templates(sheets: TemplateSheets) -> Json:
    """Sheets of stock, laid out as loads are; the stock is their only fabric."""
    stock = sheets.stock
    return {
        "stock": {
            "material": stock.material,
            "width_mm": stock.width_mm,
            "height_mm": stock.height_mm,
            "thickness_mm": stock.thickness_mm,
            "web_mm": stock.web_mm,
        },
        **_bed(sheets.mat, sheets.machine),
        **_laid_out(sheets.layout, sheets.plan, sheets.machine.kerf_mm),
        "notes": list(sheets.plan.notes),
    }


def _bed(mat: MatSpec, machine: MachineSpec) -> Json:
    return {
        "mat": {"width_mm": mat.width_mm, "height_mm": mat.height_mm, "margin_mm": mat.margin_mm},
        "machine": {
            "gap_mm": machine.gap_mm,
            "draw": [drawn.value for drawn in machine.draw],
            "smallest_mm": machine.smallest_mm,
            "register": machine.register.value,
            "kerf_mm": machine.kerf_mm,
            "swivel_mm": machine.swivel_mm,
            "overcut_mm": machine.overcut_mm,
            "edge": machine.edge.value,
            "scale_x": machine.calibration.scale_x,
            "scale_y": machine.calibration.scale_y,
            "skew_deg": machine.calibration.skew_deg,
            **({"place": True} if machine.place else {}),
        },
    }


def _laid_out(layout: Layout, plan: CutPlan, kerf_mm: float) -> Json:
    return {
        "shapes": [
            {
                "name": shape.name,
                "cut": _contour(shape.cut),
                **_line(shape, kerf_mm),
                **_holes(shape, kerf_mm),
                "area_mm2": area(shape.cut),
                "symmetric": shape.symmetric,
            }
            for shape in layout.shapes
        ],
        "loads": [_load(load, run) for load, run in zip(layout.loads, plan.loads, strict=True)],
        "least_loads": layout.least_loads,
        "fabrics": [
            {
                "fabric": tally.fabric,
                "pieces": tally.pieces,
                "pieces_used": tally.pieces_used,
                "counts": _counts(tally.counts),
                "at_most": _counts(tally.at_most),
                "limited": list(tally.limited),
                "used_share": tally.used_share,
                "pieces_whole": tally.pieces_whole,
                "left": _left(tally.left),
                **_bought(tally.bought),
            }
            for tally in layout.tallies
        ],
    }


def _counts(counts: tuple[tuple[str, int], ...]) -> list[Json]:
    return [{"shape": shape, "count": count} for shape, count in counts]


def _left(left: Left | None) -> Json | None:
    if left is None:
        return None
    return {
        "piece": left.piece,
        "x_mm": left.x_mm,
        "y_mm": left.y_mm,
        "width_mm": left.width_mm,
        "length_mm": left.length_mm,
    }


def _bought(bought: Bought | None) -> Json:
    if bought is None:
        return {}
    hurried = {"hurried": True} if bought.hurried else {}
    return {"needed_length_mm": bought.as_bought_mm, "buy_mm": bought.buy_mm, **hurried}


def _line(shape: Shape, kerf_mm: float) -> Json:
    """What is cut for it, where the kerf makes that another line."""
    return {"line": _contour(cut_lines(shape, kerf_mm).outer)} if kerf_mm else {}


def _holes(shape: Shape, kerf_mm: float) -> Json:
    """The holes in it, and what is cut for them."""
    if not shape.inner:
        return {}
    lines = {"inner_lines": [_contour(hole) for hole in cut_lines(shape, kerf_mm).inner]} if kerf_mm else {}
    return {"inner": [_contour(hole) for hole in shape.inner], **lines}


def _contour(contour: Contour) -> Json:
    if isinstance(contour, Circle):
        return {"circle": [contour.x, contour.y, contour.radius]}
    return {"vertices": [list(vertex) for vertex in contour.vertices]}


def _load(load: Load, run: LoadPlan) -> Json:
    return {
        "name": load.name,
        "width_mm": run.width_mm,
        "height_mm": run.height_mm,
        "travel_mm": run.travel_mm,
        "travel_as_laid_mm": run.travel_as_laid_mm,
        "fabrics": [_laid(laid) for laid in load.fabrics],
    }


def _laid(laid: PlacedFabric) -> Json:
    extra: Json = {}
    if laid.outline:
        extra["outline"] = [list(point) for point in laid.outline]
    if laid.avoid:
        extra["avoid"] = [[list(point) for point in points] for points in laid.avoid]
    if laid.repeat:
        extra["repeat"] = {
            "x_mm": laid.repeat.x_mm,
            "y_mm": laid.repeat.y_mm,
            "width_mm": laid.repeat.width_mm,
            "length_mm": laid.repeat.length_mm,
        }
    return {
        "fabric": laid.fabric,
        "piece": laid.piece,
        "x_mm": laid.x_mm,
        "y_mm": laid.y_mm,
        "width_mm": laid.width_mm,
        "length_mm": laid.length_mm,
        "from_mm": list(laid.from_mm),
        "turn_deg": laid.turn_deg,
        "face": laid.face.value,
        "margin_mm": laid.margin_mm,
        "turns_deg": None if laid.turns_deg is None else list(laid.turns_deg),
        **extra,
        "pieces": [
            {
                "id": placement.piece_id,
                "shape": placement.shape,
                "x_mm": placement.pose.x_mm,
                "y_mm": placement.pose.y_mm,
                "turn_deg": placement.pose.turn_deg,
                "mirrored": placement.pose.mirrored,
                "label": placement.label,
                **({"plate": placement.plate, "place": placement.place} if placement.plate else {}),
                **({"bag": placement.bag} if placement.bag else {}),
            }
            for placement in laid.placements
        ],
    }


def sealed(layout: Json, files: Mapping[str, bytes]) -> bytes:
    """Return layout.json with the sum of every other file, and a seal over itself.

    By these a later run knows which files it wrote and nobody has touched since.
    """
    sums = [{"name": name, "sha256": hashlib.sha256(files[name]).hexdigest()} for name in sorted(files)]
    whole = {**layout, "files": sums}
    return _text({**whole, "seal": _seal(whole)})


def own_sums(text: bytes) -> dict[str, str] | None:
    """Return the sums by file name that an earlier run noted; None if the text isn't ours as we wrote it."""
    try:
        layout = json.loads(text)
        seal = layout.pop("seal")
        if layout["format"] != FORMAT or seal != _seal(layout):
            return None
        return {str(entry["name"]): str(entry["sha256"]) for entry in layout["files"]}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, CutfilesError):
        return None


def _seal(whole: Json) -> str:
    return hashlib.sha256(_text(whole)).hexdigest()


def _text(whole: Json) -> bytes:
    return (json.dumps(_rounded(whole), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return rounded(value, _PLACES)
    if isinstance(value, dict):
        return {key: _vertices(item) if key == "vertices" else _rounded(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(item) for item in value]
    return value


def _vertices(value: Any) -> Any:
    try:
        return [[*_rounded([x, y]), rounded(bulge, _BULGE_PLACES)] for x, y, bulge in value]
    except (TypeError, ValueError):
        return _rounded(value)  # not of our making: then its seal won't fit
