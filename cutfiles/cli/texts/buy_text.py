"""What to buy, as lines to read or to print."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutfiles.job.model.job import Job

if TYPE_CHECKING:
    from cutfiles.shopping.shopping_list import ShoppingList


def buy_text(shopping: ShoppingList, job: Job) -> str:
    """Return a line a fabric with what it is for, packs that hold several, and all of it in a line."""
    if not shopping.items:
        return _nothing_listed(shopping, job)
    rows = [(item.fabric, item.words(job.unit), _gives_words(item.gives)) for item in shopping.items]
    names, amounts = (max(len(row[column]) for row in rows) for column in (0, 1))
    names = max(names, len("in all"))
    lines = [f"{name:<{names}}  {words:<{amounts}}  {for_}" for name, words, for_ in rows]
    lines += [f"{', '.join(packs.fabrics)}: together {packs.words()}" for packs in shopping.mixed_packs]
    return "\n".join([*lines, f"{'in all':<{names}}  {shopping.total()}"])


def _nothing_listed(shopping: ShoppingList, job: Job) -> str:
    if not shopping.shortages:
        return "nothing to buy: the fabrics of the job give all it asks"
    if any(fabric.is_open for fabric in job.fabrics):
        return "the fabrics of the job give too little"
    return 'the fabrics of the job give too little, and none has pieces or length "as needed"'


def _gives_words(gives: tuple[tuple[str, int], ...]) -> str:
    return "for " + ", ".join(f"{count} × {shape}" for shape, count in gives)
