"""How fabrics look in the sheet's pictures: a colour, or a picture of the cloth that lies as it was cut.

A fabric's picture is laid over the piece of fabric from the lower left corner of its right side, x crosswise
and y lengthwise, and comes again as often as the piece is large. `Pose`s lead from there to the mat, to a
piece's own frame and to the plate.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Contour
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import FabricSpec, Face, Job
from cutfiles.nest.base.layout import Layout, PlacedFabric, Placement, RoughCut
from cutfiles.sheet.markup.colours import fabric_colours
from cutfiles.sheet.markup.drawing import drawn
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.sheet.pictures.cloth_picture import ClothPicture

_TURNED_OVER = Pose(mirrored=True)


@dataclass(frozen=True, slots=True)
class Fill:
    """What a shape is filled with: a colour, or cloth with where it lies in the shape's own frame."""

    paint: str
    lies: Pose | None = None


@dataclass(frozen=True, slots=True)
class Cloths:
    """How the fabrics of a job look; the same in all pictures of a sheet."""

    colours: Mapping[str, str]
    pictures: Mapping[str, ClothPicture] = field(default_factory=dict)
    fabrics: Mapping[str, FabricSpec] = field(default_factory=dict)

    @classmethod
    def of_job(cls, job: Job, pictures: Mapping[str, ClothPicture]) -> Cloths:
        """Return the look of a job's fabrics."""
        return cls(fabric_colours(job.fabrics), pictures, {fabric.name: fabric for fabric in job.fabrics})

    def paint(self, fabric: str) -> str:
        """Return what fills a swatch of the fabric."""
        if fabric not in self.pictures:
            return self.colours[fabric]
        return f"url(#{self._name(fabric)})"

    def on_mat(self, laid: PlacedFabric) -> Pose | None:
        """Return how the right side of a piece of fabric lies on the mat; None where no picture shows it."""
        if laid.fabric not in self.pictures:
            return None
        # Turned, the rectangle's upper left corner comes to lie at its lower left.
        shift = laid.length_mm if laid.turn_deg else 0.0
        rectangle = Pose(laid.x_mm + shift, laid.y_mm, laid.turn_deg)
        return rectangle.after(self._as_it_lies(laid.fabric, laid.face, laid.from_mm, laid.width_mm))

    def of_piece(self, laid: PlacedFabric, placement: Placement) -> Fill:
        """Return the fill of a piece in its own frame, its right side seen: the cloth it is cut from."""
        on_mat = self.on_mat(laid)
        if on_mat is None:
            return Fill(self.colours[laid.fabric])
        lies = placement.pose.inverse().after(on_mat)
        # Cut from cloth that lies wrong side up, a shape that is its own mirror image isn't mirrored.
        return Fill(self.paint(laid.fabric), _TURNED_OVER.after(lies) if lies.mirrored else lies)

    def of_rectangle(self, cut: RoughCut) -> Fill:
        """Return the fill of a rectangle cut by hand, its right side seen, about its middle."""
        if cut.fabric not in self.pictures:
            return Fill(self.colours[cut.fabric])
        lies = self._as_it_lies(cut.fabric, cut.face, (cut.x_mm, cut.y_mm), cut.width_mm)
        lies = Pose(-cut.width_mm / 2, -cut.length_mm / 2).after(lies)
        return Fill(self.paint(cut.fabric), _TURNED_OVER.after(lies) if lies.mirrored else lies)

    def _as_it_lies(self, name: str, face: Face, corner_mm: tuple[float, float], width_mm: float) -> Pose:
        """From the right side of a whole piece to a rectangle of it, as it lies on the table."""
        fabric = self.fabrics[name]
        moved = Pose(-corner_mm[0], -corner_mm[1])
        if face is Face.RIGHT_SIDE_UP:
            return moved
        # A scrap that was drawn has no width in the job, and is laid whole.
        return moved.after(Pose(fabric.width_mm or width_mm, mirrored=True))

    def _name(self, fabric: str) -> str:
        return f"cloth-{list(self.fabrics).index(fabric) + 1}"

    def definitions(self, *, hidden_by: str = "") -> Element | None:
        """Return what all pictures of the page refer to, each picture once; None where there is none.

        Args:
            hidden_by: a class that takes it out of sight; without one it has a style of its own.
        """
        if not self.pictures:
            return None
        patterns = []
        for fabric, picture in self.pictures.items():
            size = {"width": number(picture.width_mm), "height": number(picture.height_mm)}
            # Pictures have y down, cloth has it up.
            upright = f"translate(0 {size['height']}) scale(1 -1)"
            image = svg("image", href=picture.uri, preserveAspectRatio="none", transform=upright, **size)
            patterns.append(
                svg("pattern", image, id=self._name(fabric), patternUnits="userSpaceOnUse", **size)
            )
        # Not hidden by `display`, which would take the patterns away from those who use them.
        hidden = {"class": hidden_by} if hidden_by else {"style": "position:absolute"}
        return svg("svg", svg("defs", *patterns), width="0", height="0", aria_hidden="true", **hidden)


def filled(contour: Contour, pose: Pose, fill: Fill, **attributes: str) -> Element:
    """Return a contour of a shape's own frame as it lies, filled; y up, for a group that flips y."""
    if fill.lies is None:
        return drawn(placed(contour, pose), fill=fill.paint, **attributes)
    # Drawn where it is cut from the cloth, and taken from there to its place: so the cloth comes with it.
    cloth = pose.after(fill.lies)
    element = drawn(placed(contour, fill.lies.inverse()), fill=fill.paint, **attributes)
    return svg("g", element, transform=_transform(cloth))


def _transform(pose: Pose) -> str:
    over = " scale(-1 1)" if pose.mirrored else ""
    return f"translate({number(pose.x_mm)} {number(pose.y_mm)}) rotate({number(pose.turn_deg)}){over}"


def blades_at(layout: Layout) -> dict[tuple[int, int, str], tuple[PlacedFabric, Placement]]:
    """Return the blades, or bands of blades, that have a place, by plate, place and shape."""
    return {
        (placement.plate, placement.place, placement.shape): (laid, placement)
        for laid, placement in pieces_of(layout)
        if placement.plate
    }


def pieces_of(layout: Layout) -> Iterator[tuple[PlacedFabric, Placement]]:
    """Yield every piece on the mats, with the fabric that it is cut from."""
    for load in layout.loads:
        for laid in load.fabrics:
            for placement in laid.placements:
                yield laid, placement
