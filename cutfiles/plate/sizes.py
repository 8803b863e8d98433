"""The plate's measurements as `size --json` and `layout.json` give them: mm and degrees."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cutfiles.core.units import MM_PER_INCH
from cutfiles.job.model.job import CentreKind
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Band, Plate
from cutfiles.plate.quilt import Quilt
from cutfiles.plate.seam_tolerance import centre_tolerance_mm, cover_for_mm

Json = dict[str, Any]


def quilt_json(quilt: Quilt) -> Json:
    """Return what a quilt measures; of a binding or a backing that it lacks there are 0, without sizes."""
    backing, (width, height) = quilt.backing, quilt.backing_mm
    return {
        "rows": quilt.spec.rows,
        "columns": quilt.spec.columns,
        "width_mm": quilt.width_mm,
        "height_mm": quilt.height_mm,
        "binding_strips": quilt.binding_strips,
        "binding_width_mm": quilt.spec.binding_mm if quilt.binding_strips else None,
        "strip_mm": quilt.spec.strip_mm,
        "backing_panels": backing.count if backing else 0,
        "backing_width_mm": width if backing else None,
        "backing_height_mm": height if backing else None,
        "panel_width_mm": backing.width_mm if backing else None,
        "panel_length_mm": backing.length_mm if backing else None,
    }


def sizes_json(plate: Plate, needs: Iterable[tuple[str, int]]) -> Json:
    """Return the measurements as one JSON object; a part that the plate lacks is null."""
    blade = plate.blade
    return {
        "blade": {
            "length_mm": blade.length_mm,
            "narrow_width_mm": blade.narrow_width_mm,
            "wide_width_mm": blade.wide_width_mm,
            "angle_deg": 2 * blade.half_angle_deg,
            "inner_radius_mm": blade.inner_radius_mm,
            "seam_mm": blade.seam_mm,
            "tip": blade.tip.value,
            "facing_ends_mm": blade.facing_ends_mm,
        },
        **({"bands": [_band(plate, band) for band in plate.bands]} if plate.bands else {}),
        **({"second_blade": _second(plate, plate.second)} if plate.second else {}),
        "plate": {
            "count": plate.count,
            "blades": blade.blades,
            "sewn": plate.sewn,
            "sweep_deg": plate.sweep_deg,
            "finished_diameter_mm": blade.finished_diameter_mm,
            "valley_diameter_mm": blade.valley_diameter_mm,
            "extent_mm": plate.extent_mm,
            "opening_diameter_mm": 2 * blade.opening_radius_mm,
        },
        "centre": plate.centre
        and {
            "finished_diameter_mm": 2 * plate.centre.finished_radius_mm,
            "cut_diameter_mm": 2 * plate.centre.cut_radius_mm,
            **({} if plate.centre.kind is CentreKind.GATHERED else {"kind": plate.centre.kind.value}),
            "bears_seam_error_mm": centre_tolerance_mm(blade, plate.centre),
            "cover_for_1_16_in_mm": cover_for_mm(blade, narrow_by_mm=MM_PER_INCH / 16),
        },
        "background": plate.background and _background(plate.background),
        "needs": [{"shape": shape, "count": count} for shape, count in needs],
    }


def _band(plate: Plate, band: Band) -> Json:
    return {
        "shape": band.name,
        "from_mm": band.low_mm,
        "to_mm": band.high_mm,
        "strip_mm": band.strip_mm,
        "narrow_width_mm": 2 * plate.blade.cut_half_width_mm(band.cut_low_mm),
        "wide_width_mm": 2 * plate.blade.cut_half_width_mm(band.cut_high_mm),
    }


def _second(plate: Plate, second: Blade) -> Json:
    """Every other blade, and the raw side that the longer ones show beside it."""
    return {
        "length_mm": second.length_mm,
        "wide_width_mm": second.wide_width_mm,
        "facing_ends_mm": second.facing_ends_mm,
        "tip_radius_mm": second.tip_radius_mm,
        "valley_diameter_mm": second.valley_diameter_mm,
        "step_mm": plate.step_mm,
    }


def _background(background: Background) -> Json:
    """One side where it is a square; where it is to be trimmed, what it is trimmed to as well."""
    width, height = background.trimmed_mm
    if background.is_square:
        trimmed: Json = {"trimmed_side_mm": width} if background.trim_mm else {}
        return {
            "cut_side_mm": background.cut_width_mm,
            **trimmed,
            "finished_side_mm": background.finished_width_mm,
        }
    trimmed = {"trimmed_width_mm": width, "trimmed_height_mm": height} if background.trim_mm else {}
    return {
        "cut_width_mm": background.cut_width_mm,
        "cut_height_mm": background.cut_height_mm,
        **trimmed,
        "finished_width_mm": background.finished_width_mm,
        "finished_height_mm": background.finished_height_mm,
    }
