"""What settling a job asks of whatever cuts its fabrics."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.fabric.fabric_cut import FabricCut

# Stands for "as many as it holds"; no fabric holds a million pieces.
ALL = 1_000_000


class FabricCutter(Protocol):
    """What settling a job asks of whatever cuts its fabrics: a search for the mat, or a ruler."""

    @property
    def is_cut_short(self) -> bool:
        """Whether what was not found may fit all the same."""

    def cut(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the fabric cut for at most what is asked, on as few pieces as found."""

    def solve_ahead(self, cuts: Sequence[tuple[FabricSpec, Mapping[str, int]]]) -> None:
        """Be told what `cut` is about to be asked."""

    def takes(self, fabric: FabricSpec, shape: str) -> bool:
        """Return whether a piece of fabric, as long as needed if that is open, has room for a shape."""

    def on_fewest_pieces(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the fabric cut for numbers on as few pieces as found."""

    def as_large_as_cut(self, fabric: FabricSpec, cut: FabricCut) -> FabricSpec:
        """Return a fabric with the length or the pieces found for it if that is open."""

    def at_least(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape alone the fabric surely gives."""

    def at_most(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape all the fabric's pieces can't pass."""

    def sizes(self, fabric: FabricSpec, shape: str) -> list[tuple[float, float]]:
        """Return the width and the length of a shape at each turn that is tried on a fabric."""

    def by_hand(self, fabric: FabricSpec, shape: str) -> tuple[float, float] | None:
        """Return the size of a shape that is too big for the mat, else None."""
