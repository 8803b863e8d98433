"""Texts of files, written and changed as tests need them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable


def replaced(old: str, new: str) -> Callable[[str], str]:
    """Return what changes a text in one place, which must be there."""

    def change(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return change


def pairs_text(pairs: Iterable[tuple[int, object]]) -> str:
    """Return pairs of a group code and a value as the lines of a DXF."""
    return "".join(f"{code:3d}\n{value}\n" for code, value in pairs)


def code_blocks(page: str, kind: str) -> list[str]:
    """Return the blocks of code in a page of the documentation that are of a kind, such as `sh`."""
    return re.findall(rf"```{kind}\n(.*?)```", page, flags=re.DOTALL)
