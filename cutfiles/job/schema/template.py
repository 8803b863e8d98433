"""Keys of `[[template]]` and `[stock]`."""

from __future__ import annotations

from cutfiles.job.model.blade_shapes import SECOND_BLADE
from cutfiles.job.model.template import EngraveFrom, SewnOrCut
from cutfiles.job.schema.field import Field, Kind, Table

BLADE, SECOND, WINDOW = "blade", SECOND_BLADE, "blade-window"
CENTRE, CENTRE_CUT, RING = "centre", "centre-cut", "centre-ring"
PLACEMENT = "placement"
TEMPLATE_SHAPES = (BLADE, SECOND, WINDOW, CENTRE, CENTRE_CUT, RING, PLACEMENT)


def _length(key: str, says: str, default: str | None = None, *, least: int = 0) -> Field:
    return Field(key, Kind.LENGTH, says, default, least=least)


TEMPLATE = Table(
    "template",
    "Rigid templates to cut or mark around, cut from `[stock]`: see [Templates](templates.md).",
    (
        Field(
            "shape",
            Kind.NAME,
            f"{', '.join(f'`{shape}`' for shape in TEMPLATE_SHAPES)}, or the name of an `[[outline]]`",
            required=True,
            choices=TEMPLATE_SHAPES,
        ),
        Field("count", Kind.COUNT, "how many to cut", 1, least=1, most=1000),
        Field(
            "line", Kind.CHOICE, "of an `[[outline]]`: the template is as large as it is cut, or sewn", "cut",
            choices=tuple(choice.value for choice in SewnOrCut),
        ),
        _length("ease", "radius to which corners between straight edges are eased", "1 mm"),
        _length(
            "hole",
            "diameter of the hang hole, 0 for none; left out, it is 5 mm where there is room (rings and "
            "windows hang by their opening)",
        ),
        _length("capitals", "height of engraved capital letters, 2 mm or more", "3 mm", least=1),
        Field("name", Kind.TEXT, "engraved; left out, it is the job's title"),
        _length("diameter", "of a `placement` guide; left out, it is the plate's, tip to tip", least=1),
        Field(
            "face", Kind.CHOICE, "from behind, the part is mirrored and reads right through clear stock",
            EngraveFrom.ABOVE.value, choices=tuple(choice.value for choice in EngraveFrom),
        ),
    ),
    repeated=True,
)  # fmt: skip
STOCK = Table(
    "stock",
    "What templates are cut from: sheets of one size, as many as they need.",
    (
        Field("material", Kind.TEXT, "what it is, for the job sheet", "cast acrylic"),
        _length("width", "left to right in the machine, above 0; required with `[[template]]`", least=1),
        _length("height", "front to back, above 0; required with `[[template]]`", least=1),
        _length("thickness", "at most 12 mm", "3 mm", least=1),
        _length("kerf", "width of what the tool removes, at most 2 mm and less than `gap`", "0"),
        _length("margin", "kept clear inside the sheet's edge", "5 mm"),
        _length("gap", "least distance between parts", "3 mm"),
        _length("web", "least width of what stays between two cuts of one part, or in its neck", "3 mm"),
    ),
)
