"""Cuts of fabric as they are usually sold, for one click. Common practice, no published source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cutfiles.job.schema.field import AS_NEEDED
from cutfiles.page.fields.document import Value


@dataclass(frozen=True, slots=True)
class Preset:
    """A usual cut: its name on the page, and its size crosswise and along the lengthwise grain."""

    key: str
    name: str
    width: str
    length: str


PRESETS = (
    Preset("squares-5", "Squares of 5 in", "5 in", "5 in"),
    Preset("squares-10", "Squares of 10 in", "10 in", "10 in"),
    Preset("strips", "Strips of 2 1/2 in", "42 in", "2 1/2 in"),
    Preset("fat-quarter", "Fat quarters, 18 × 22 in", "22 in", "18 in"),
    Preset("fat-quarter-metric", "Fat quarters, 50 × 55 cm", "55 cm", "50 cm"),
    Preset("yardage", "By length, as much as needed", "42 in", AS_NEEDED),
    Preset("other", "Another size", "", ""),
)

_TEMPLATES = (
    ("blade", "Blade"),
    ("second-blade", "Blade of the second length"),
    ("blade-window", "Frame of a blade, to see the motif through"),
    ("centre", "Circle, as large as it is finished, to gather over"),
    ("centre-cut", "Circle, as large as it is cut"),
    ("centre-ring", "Ring: the circle as it is cut, open where it will show"),
    ("placement", "Guide to place the plate on its background"),
)


def fabric_of(
    key: str, *, pieces: str, print_: str, tables: Mapping[str, Any]
) -> dict[str, Value]:  # fmt: skip
    """Return a new fabric of a usual cut, with a name that no other has."""
    preset = next((preset for preset in PRESETS if preset.key == key), PRESETS[0])
    fabric: dict[str, Value] = {"name": new_name("fabric", tables)}
    fabric["width"] = preset.width or "10 in"
    fabric["length"] = preset.length or "10 in"
    if preset.length != AS_NEEDED:
        fabric["pieces"] = int(pieces) if pieces.isascii() and pieces.isdigit() else pieces or 1
    if print_ and print_ != "plain":
        fabric["print"] = print_
    fabric["cuts"] = {"blade": "rest"}
    return fabric


def new_name(table: str, tables: Mapping[str, Any]) -> str:
    """Return a name such as `fabric-3` that no table has yet."""
    entries = tables.get(table, [])
    taken = {entry.get("name") for entry in entries if isinstance(entry, dict)}
    number = len(taken) + 1
    while f"{table}-{number}" in taken:
        number += 1
    return f"{table}-{number}"


def template_shapes(tables: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return what templates a job may have, as it has them and in words; shapes of one's own among them."""
    entries = tables.get("outline", [])
    own = [str(entry["name"]) for entry in entries if isinstance(entry, dict) and entry.get("name")]
    return (*_TEMPLATES, *((name, name) for name in own))
