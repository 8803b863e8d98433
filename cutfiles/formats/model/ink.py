"""In which colours the lines of each layer are shown: some programs tell layers apart by nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field

from cutfiles.formats.model.drawing import Ink, Layer


@dataclass(slots=True)
class Inks:
    """Counts lines while a file is read."""

    _counts: dict[tuple[Layer, str], list[int]] = field(default_factory=dict)
    _places: dict[tuple[Layer, str], str] = field(default_factory=dict)

    def add(self, layer: Layer | None, colour: str, place: str, count: int = 1) -> None:
        """Count lines of a layer; of one that isn't ours nobody knows what colour it should have."""
        if layer is None:
            return
        key = (layer, colour)
        if key in self._counts:
            self._counts[key][0] += count
        else:
            self._counts[key] = [count]
            self._places[key] = place

    def all(self) -> tuple[Ink, ...]:
        """Return all that was counted, in the file's order."""
        return tuple(Ink(*key, counts[0], self._places[key]) for key, counts in self._counts.items())
