"""What to buy, as lines to read or to print."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutfiles.job.model.job import Job

if TYPE_CHECKING:
    from cutfiles.shopping.shopping_list import ShoppingList


def buy_text(shopping: ShoppingList, job: Job) -> str:
    """Return a line a fabric with what it is for, packs that hold several, and all of it in a line."""
    if not shopping.items:
        return "nothing to buy" + ("" if shopping.shortages else ": the fabrics of the job give all it asks")
    rows = [(item.fabric, item.words(job.unit), _for(item.gives)) for item in shopping.items]
    names, amounts = (max(len(row[column]) for row in rows) for column in (0, 1))
    names = max(names, len("in all"))
    lines = [f"{name:<{names}}  {words:<{amounts}}  {for_}" for name, words, for_ in rows]
    lines += [f"{', '.join(packs.fabrics)}: together {packs.words()}" for packs in shopping.mixed_packs]
    return "\n".join([*lines, f"{'in all':<{names}}  {shopping.total()}"])


def _for(gives: tuple[tuple[str, int], ...]) -> str:
    return "for " + ", ".join(f"{count} × {shape}" for shape, count in gives)
