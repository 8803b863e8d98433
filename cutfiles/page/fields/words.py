"""Keys and choices of a job file as a person says them."""

from __future__ import annotations

import re

from cutfiles.formats.registry import FORMATS, Audience

_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_CODE = re.compile(r"`([^`]*)`")
_KEY = re.compile(r"\[{0,2}[a-z]+(?:_[a-z]+)*\]{0,2}")

# Who takes a format's files, where that isn't the machine.
_FOR = {Audience.MACHINE: "", Audience.PROGRAM: ", whole pieces", Audience.PRINTER: ", to print"}
# Where capitals or whole words are usual.
_CHOICES = {
    "in": "Inches", "cm": "Centimetres", "mm": "Millimetres",
    "sew": "Sewing lines", "fold": "Folds", "notch": "Notches", "grain": "Grain", "label": "Labels",
    **{name: f"{known.title}{_FOR[known.audience]}" for name, known in FORMATS.items()},
}  # fmt: skip


def choice(word: str) -> str:
    """Return a choice in words.

    >>> choice("in"), choice("one-way"), choice("pdf")
    ('Inches', 'One way', 'PDF, to print')
    """
    return _CHOICES.get(word) or label(word)


def label(key: str) -> str:
    """Return a key in words.

    >>> label("blade_length"), label("skew_deg"), label("blade-window")
    ('Blade length', 'Skew deg', 'Blade window')
    """
    text = key.replace("_", " ").replace("-", " ")
    return text[:1].upper() + text[1:]


def plain(says: str) -> str:
    """Return what the field table says without the marks of a text file, keys in words.

    >>> plain("a fan where it is below `blades`; see [Calibration](registration.md)")
    'A fan where it is below “Blades”; see Calibration.'
    """
    text = _CODE.sub(_said, _LINK.sub(r"\1", says)).strip().rstrip(".")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _said(match: re.Match[str]) -> str:
    inside = match[1]
    if _KEY.fullmatch(inside):
        return f"“{label(inside.strip('[]'))}”"
    return f"“{inside.strip(chr(34))}”"
