"""How the names of drawings end that can be read."""

from __future__ import annotations

SUFFIXES = (".svg", ".dxf")
