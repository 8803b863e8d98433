"""Where in a job file something stands, as messages name it."""

from __future__ import annotations

import json
import re

# A number alone is quoted as well: `fabric.2` is the second fabric, whatever it is called.
_BARE = re.compile(r"(?!\d+$)[A-Za-z0-9_-]+")


def place_of(table: str, name: str) -> str:
    """Return the key path of a named table, its name quoted where TOML would want that of a key.

    >>> place_of("fabric", "tide"), place_of("fabric", "high tide"), place_of("fabric", "2")
    ('fabric.tide', 'fabric."high tide"', 'fabric."2"')
    """
    return f"{table}.{name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=False)}"
