"""What forms of the page may ask for: each action reads its form and changes the desk."""

from __future__ import annotations

import math
from collections.abc import Callable

from starlette.datastructures import FormData

from cutfiles.core.units import Unit
from cutfiles.job.starter import starter
from cutfiles.page import edits
from cutfiles.page.cloth import ScaleMarks
from cutfiles.page.desk import Desk
from cutfiles.page.fields import document
from cutfiles.page.fields.examples import example
from cutfiles.page.fields.form import OPTIONAL
from cutfiles.page.fields.presets import fabric_of, new_name, template_shapes
from cutfiles.page.fields.step import stepped

Action = Callable[[Desk, FormData], None]


def key_path(form: FormData) -> document.KeyPath:
    """Return the place of the key that a form is about."""
    steps = str(form.get("at", "")).split(".")
    return tuple(int(step) if step.isascii() and step.isdigit() else step for step in steps)


def number(form: FormData, key: str = "at") -> int:
    """Return a whole number of a form, -1 where it is none."""
    text = str(form.get(key, ""))
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else -1


def _set(desk: Desk, form: FormData) -> None:
    edits.set_value(desk, key_path(form), str(form.get("value", "")))


def _step(desk: Desk, form: FormData) -> None:
    path = key_path(form)
    edits.set_value(desk, path, stepped(desk.seen.tables, path, up=form.get("way") == "up"))


def _tick(desk: Desk, form: FormData) -> None:
    edits.tick(desk, key_path(form), str(form.get("word", "")), ticked="ticked" in form)


def _flag(desk: Desk, form: FormData) -> None:
    edits.set_flag(desk, key_path(form), ticked="ticked" in form)


def _option(desk: Desk, form: FormData) -> None:
    name = str(form.get("at", ""))
    if name in OPTIONAL:
        edits.set_table(desk, name, there="ticked" in form)


def _show(desk: Desk, form: FormData) -> None:
    desk.opened ^= {str(form.get("at", ""))[:100]}


def _block(desk: Desk, form: FormData) -> None:
    edits.choose_block(desk, str(form.get("kind", "")))


def _scale(desk: Desk, form: FormData) -> None:
    marks = ScaleMarks.read({key: str(form.get(key, "")) for key in ("x1", "y1", "x2", "y2")})
    edits.scale_cloth(desk, number(form), marks, str(form.get("distance", "")).strip()[:40])


def _whole_repeat(desk: Desk, form: FormData) -> None:
    edits.repeat_cloth(desk, number(form))


def _motif(desk: Desk, form: FormData) -> None:
    try:
        x_mm, y_mm = float(str(form.get("x"))), float(str(form.get("y")))
    except ValueError:
        x_mm = y_mm = math.nan
    edits.set_motif(desk, number(form), x_mm, y_mm)


def _part(desk: Desk, form: FormData) -> None:
    edits.separate_fabrics(desk, number(form))


def _keep_out(desk: Desk, form: FormData) -> None:
    edits.keep_out(desk, str(form.get("name", "")), more=-1 if form.get("way") == "in" else 1)


def _order_by_hand(desk: Desk, _form: FormData) -> None:
    edits.write_order(desk)


def _order_move(desk: Desk, form: FormData) -> None:
    place, to = number(form, "number"), number(form, "to")
    edits.move_in_order(desk, place, to)
    desk.focus = f"order-{to}-{'later' if to > place else 'earlier'}"


def _order_spread(desk: Desk, _form: FormData) -> None:
    edits.set_value(desk, ("plate", "order"), "")


def _add_fabric(desk: Desk, form: FormData) -> None:
    wanted = {key: str(form.get(key, "")) for key in ("preset", "pieces", "print")}
    tables = desk.seen.tables
    fabric = fabric_of(wanted["preset"], pieces=wanted["pieces"], print_=wanted["print"], tables=tables)
    edits.add_table(desk, "fabric", fabric)


def _add_flaw(desk: Desk, form: FormData) -> None:
    edits.add_flaw(desk, number(form))


def _add_outline(desk: Desk, _form: FormData) -> None:
    square = [[0, 0], [3, 0], [3, 3], [0, 3]]
    edits.add_table(desk, "outline", {"name": new_name("outline", desk.seen.tables), "points": square})


def _add_template(desk: Desk, form: FormData) -> None:
    shape = str(form.get("shape", ""))
    known = [word for word, _ in template_shapes(desk.seen.tables)]
    if "stock" not in desk.seen.tables:
        edits.set_value(desk, ("stock", "width"), "300 mm")
        edits.set_value(desk, ("stock", "height"), "200 mm")
    edits.add_table(desk, "template", {"shape": shape if shape in known else known[0]})


def _remove(desk: Desk, form: FormData) -> None:
    edits.remove(desk, key_path(form))


def _text(desk: Desk, form: FormData) -> None:
    desk.take_text(str(form.get("text", "")))


def _example(desk: Desk, form: FormData) -> None:
    known = example(str(form.get("name", "")))
    desk.begin_anew(known.text if known else starter(Unit.CM if form.get("unit") == "cm" else Unit.IN))


def _empty(desk: Desk, _form: FormData) -> None:
    desk.begin_anew("[plate]\n")


def _lay_out(desk: Desk, _form: FormData) -> None:
    desk.lay_out()


def _stop(desk: Desk, _form: FormData) -> None:
    if desk.run is not None:
        desk.run.stop()


def _kill(desk: Desk, _form: FormData) -> None:
    desk.end_run()


def _save(desk: Desk, _form: FormData) -> None:
    if desk.job is not None:
        desk.save()


# By the name of its address: "/lay-out" is `_lay_out`.
ACTIONS: dict[str, Action] = {
    action.__name__[1:].replace("_", "-"): action
    for action in (
        _set, _step, _tick, _flag, _option, _show, _block, _scale, _whole_repeat, _motif, _part, _keep_out,
        _order_by_hand, _order_move, _order_spread, _add_fabric, _add_flaw,
        _add_outline, _add_template, _remove, _text, _example, _empty, _lay_out, _stop, _kill, _save,
    )
}  # fmt: skip
