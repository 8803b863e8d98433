"""Changes to the job that is on the desk: each writes the job's text anew, a key or a table at a time.

Each function may raise `JobError`: the place isn't there, or the text is too broken to be changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.units import Unit, length_mm, shown, sides_shown
from cutfiles.core.words import counted
from cutfiles.geometry.outline import bounds
from cutfiles.job.model.job import FabricSpec
from cutfiles.page.cloth import ScaleMarks, in_first_repeat, width_from_marks
from cutfiles.page.desk import Desk
from cutfiles.page.fields import document
from cutfiles.page.fields.blocks import with_block
from cutfiles.page.fields.entry import field_at, value_of
from cutfiles.page.fields.named_files import DRAWINGS, endings_of, free_name
from cutfiles.page.fields.step import unit_of
from cutfiles.page.files import write_beside
from cutfiles.page.pictures import order_of
from cutfiles.page.seen import fabric_at, names_of
from cutfiles.sheet.pictures.cloth_picture import ClothPicture

_MOST_TABLES = 200  # of a kind, that the page shows


def set_value(desk: Desk, path: document.KeyPath, typed: str) -> None:
    """Change one key to what was typed; nothing takes it out.

    Raises:
        JobError: there is no such key, or the text is too broken to be changed.
    """
    desk.change(document.with_value(desk.text, path, value_of(field_at(path), typed)))


def tick(desk: Desk, path: document.KeyPath, word: str, *, ticked: bool) -> None:
    """Put a word into a list of choices, or take it out."""
    key_field = field_at(path)
    if word not in key_field.choices:
        raise JobError(".".join(map(str, path)), f"there is no choice {word}")
    written = document.at(desk.seen.tables, path)
    default = key_field.default if isinstance(key_field.default, tuple) else ()
    chosen = {*(written if isinstance(written, list) else default)}
    chosen = chosen | {word} if ticked else chosen - {word}
    # In the order of the field table, whatever the order of ticking: it is no order of importance.
    value = [choice for choice in key_field.choices if choice in chosen]
    desk.change(document.with_value(desk.text, path, value))


def set_flag(desk: Desk, path: document.KeyPath, *, ticked: bool) -> None:
    """Set a key that is true or false."""
    field_at(path)
    desk.change(document.with_value(desk.text, path, ticked))


def set_table(desk: Desk, name: str, *, there: bool) -> None:
    """Put an empty table there, or take the table out."""
    if there:
        desk.change(document.with_table(desk.text, name))
    elif document.at(desk.seen.tables, (name,)) is not None:
        desk.change(document.without(desk.text, (name,)))


def choose_block(desk: Desk, name: str) -> None:
    """Make the plate another kind of block."""
    seen = desk.seen
    desk.change(with_block(desk.text, seen.tables, seen.sized, name))


def show_cloth(desk: Desk, index: int, content: bytes) -> None:
    """Show a fabric by a picture that was given, as wide as the fabric until it is set to scale.

    Raises:
        JobError: it is no picture, or there is no such fabric.
        DiskError: the disk refused.
    """
    entry = document.at(desk.seen.tables, ("fabric", index))
    if not isinstance(entry, dict):
        raise JobError("fabric", "is no longer there")
    name = free_name(str(entry.get("name", "cloth")), ".jpg", desk.folder)
    write_beside(desk.folder / name, content)
    width = entry.get("width")
    changes: list[tuple[document.KeyPath, document.Value | None]] = [(("fabric", index, "picture"), name)]
    if "picture_width" not in entry:
        changes.append((("fabric", index, "picture_width"), width if width is not None else "10 in"))
    desk.change(document.with_values(desk.text, changes))
    desk.opened = {f"fabric.{index}"}
    desk.message = "It is taken to show the whole width of the fabric: set it to scale by two marks."
    if desk.job is not None:
        desk.message += f" {name} lies beside {desk.job.name}."


def scale_cloth(desk: Desk, index: int, marks: ScaleMarks, distance: str) -> None:
    """Set the picture of a fabric to scale by how far apart two places on it are on the cloth."""
    fabric, picture = _cloth(desk, index)
    width = width_from_marks(marks, distance, picture, desk.seen.tables)
    desk.change(document.with_value(desk.text, ("fabric", index, "picture_width"), width))
    unit = unit_of(desk.seen.tables)
    desk.message = f"The picture shows {shown(length_mm(width, unit), unit)} of {fabric.name} crosswise."


def repeat_cloth(desk: Desk, index: int) -> None:
    """Take the picture of a fabric for one whole repeat of its print."""
    _, picture = _cloth(desk, index)
    repeat = {"width": f"{picture.width_mm:.2f} mm", "length": f"{picture.height_mm:.2f} mm"}
    desk.change(document.with_value(desk.text, ("fabric", index, "repeat"), repeat))
    desk.focus = f"t-fabric-{index}-motif"


def set_motif(desk: Desk, index: int, x_mm: float, y_mm: float) -> None:
    """Have every piece of a fabric cut where its origin lies on the same place of the print."""
    fabric, _ = _cloth(desk, index)
    motif = in_first_repeat(fabric, x_mm, y_mm, desk.seen.tables)
    desk.change(document.with_value(desk.text, ("fabric", index, "motif"), motif))


def _cloth(desk: Desk, index: int) -> tuple[FabricSpec, ClothPicture]:
    """Return a fabric and its picture.

    Raises:
        JobError: there is none, or something else is wrong with the job.
    """
    seen = desk.seen
    fabric = fabric_at(seen, index)
    if fabric is None or fabric.name not in seen.pictures:
        raise JobError("fabric", "has no picture that can be shown; mend what is marked first")
    return fabric, seen.pictures[fabric.name]


def give_file(desk: Desk, path: document.KeyPath, upload: str, content: bytes) -> None:
    """Keep a file that the key at a place shall name, under a name of its own, and name it there.

    Args:
        path: of a key that names a drawing or notes on a machine.
        upload: the file's name where it came from, which only says what kind it is.
        content: of the file.

    Raises:
        JobError: no file is named there, or it is of another kind.
        GeometryError: it is no drawing of one closed outline.
        DiskError: the disk refused.
    """
    endings, ending, says = endings_of(path), Path(upload).suffix.lower(), ""
    where = ".".join(map(str, path))
    if ending not in endings:
        raise JobError(where, f"takes a file whose name ends in {' or '.join(endings) or 'nothing'}")
    entry = document.at(desk.seen.tables, path[:-1])
    label = entry.get("name") if isinstance(entry, dict) else None
    name = free_name(str(label or path[-1]), ending, desk.folder)
    file = desk.folder / name
    write_beside(file, content)
    if ending in DRAWINGS:
        from cutfiles.pieces.drawings.outline import drawn_outline  # noqa: PLC0415  # half a second

        unit = unit_of(desk.seen.tables)
        try:
            left, low, right, high = bounds(drawn_outline(file, unit))
        except GeometryError:
            file.unlink()
            raise
        says = f"The drawing measures {sides_shown(right - left, high - low, unit)}."
    # A drawing has a size of its own.
    others = {"outline": ("points",), "fabric": ("width", "length")}.get(str(path[0]), ())
    gone: list[tuple[document.KeyPath, document.Value | None]] = [((*path[:-1], key), None) for key in others]
    desk.change(document.with_values(desk.text, [*gone, (path, name)]))
    beside = f"{name} lies beside {desk.job.name}." if desk.job is not None else ""
    desk.message = f"{says} {beside}".strip()


def separate_fabrics(desk: Desk, index: int) -> None:
    """Make each of several fabrics that share a table a fabric by itself, such as to picture each.

    Raises:
        JobError: there is no such table, or they are sold together.
    """
    entry = document.at(desk.seen.tables, ("fabric", index))
    if isinstance(entry, dict) and "pack" in entry:
        raise JobError("fabric", "they are sold in one pack, so they stay together; empty “Pack” first")
    desk.change(document.with_each_alone(desk.text, ("fabric", index), "names", "name"))
    desk.revision += 1
    desk.opened = {f"fabric.{index}"}
    desk.focus = f"t-fabric-{index}"


def keep_out(desk: Desk, name: str, *, more: int) -> None:
    """Keep so many more pieces of a fabric out of the layout; a number below 0 puts them back in.

    Raises:
        JobError: there is no such fabric.
    """
    fabrics = desk.seen.tables.get("fabric", [])
    index = next((number for number, entry in enumerate(fabrics) if name in names_of(entry)), None)
    if index is None:
        raise JobError("fabric", f"{name} is no longer there")
    out = fabrics[index].get("keep_out", 0)
    count = max(0, (out if isinstance(out, int) else 0) + more)
    desk.change(document.with_value(desk.text, ("fabric", index, "keep_out"), count or None))
    desk.message = f"{name}: {counted(count, 'piece') if count else 'no pieces'} kept out. Lay out again."


def write_order(desk: Desk) -> None:
    """Write down which fabric stands where, as it would be spread, to be changed by hand."""
    seen = desk.seen
    if seen.sized is None or not (order := order_of(seen.sized)):
        raise JobError("plate.order", "needs fabrics that give blades")
    desk.change(document.with_value(desk.text, ("plate", "order"), list(order)))


def move_in_order(desk: Desk, number: int, to: int) -> None:
    """Move a name of the order to another place of it, both counted from 0.

    Raises:
        JobError: there is no such order, or no such place in it.
    """
    order = document.at(desk.seen.tables, ("plate", "order"))
    if not isinstance(order, list) or not (0 <= number < len(order) and 0 <= to < len(order)):
        raise JobError("plate.order", "has no such place any more")
    moved = list(order)
    moved.insert(to, moved.pop(number))
    desk.change(document.with_value(desk.text, ("plate", "order"), moved))


def add_table(desk: Desk, name: str, values: Mapping[str, document.Value]) -> None:
    """Put one more table of those that come again, and show it in full."""
    entries = desk.seen.tables.get(name, [])
    count = len(entries) if isinstance(entries, list) else 0
    if count >= _MOST_TABLES:
        raise JobError(name, f"{count} are as many as the page shows; put more into the job file by hand")
    desk.change(document.with_tables(desk.text, name, [values]))
    desk.revision += 1
    desk.opened = {f"{name}.{count}"}
    desk.focus = f"t-{name}-{count}"


def add_flaw(desk: Desk, index: int) -> None:
    """Put one more flaw on a fabric, in its lower left corner, to be given its place.

    Raises:
        JobError: there is no such fabric, or its flaws are no list.
    """
    flaws = document.at(desk.seen.tables, ("fabric", index, "avoid"))
    side: document.Value = 1 if unit_of(desk.seen.tables) is Unit.IN else "2 cm"
    # Where it lies is left empty: there is nothing to type over.
    path = ("fabric", index, "avoid")
    desk.change(document.with_inner(desk.text, path, {"width": side, "length": side}))
    desk.revision += 1
    desk.focus = f"f-fabric-{index}-avoid-{len(flaws) if isinstance(flaws, list) else 0}"


def remove(desk: Desk, path: document.KeyPath) -> None:
    """Take one of those tables out, or one of a list inside it."""
    desk.change(document.without(desk.text, path))
    desk.revision += 1
    if len(path) > 2:
        desk.focus = f"f-{'-'.join(map(str, path[:-1]))}-add"
    else:
        desk.opened = set()
