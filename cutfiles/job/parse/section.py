"""One table of a job file: keys are known, values are of the kind that the field table says."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.units import FORMS, Unit, length_mm
from cutfiles.job.schema.field import LONGEST_MM, SPREAD, Field, Table

E = TypeVar("E", bound=Enum)
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}")
_LONGEST_NAME = 40
_MOST_NAMES = 100
_MOST_LENGTHS = 10
_JOINERS = str.maketrans("", "", "\u200c\u200d")  # unseen, but some scripts can't be spelled without them
_LONGEST_TEXT = 200


def quoted(value: object) -> str:
    """Return a found value as a message shows it, never longer than a line."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, str):
        text = f'"{value}"' if value.isprintable() else repr(value)
    elif isinstance(value, Mapping):
        text = "a table"
    elif isinstance(value, list):
        text = "a list"
    else:
        text = str(value) if not isinstance(value, int) or abs(value) < 10**20 else "a huge number"
    return text if len(text) <= 60 else f"{text[:57]}…"


def known(key: str, names: Iterable[str], where: str, *, what: str = "key") -> None:
    """Do nothing if a name is known.

    Raises:
        JobError: it isn't; the nearest known one is named.
    """
    names = list(names)
    if key in names:
        return
    near = difflib.get_close_matches(key.lower(), names, n=1, cutoff=0.5)
    hint = f"the nearest known one is {near[0]}" if near else f"known are {', '.join(names)}"
    raise JobError(where, f"unknown {what} {quoted(key)}; {hint}")


@dataclass(frozen=True, slots=True)
class Section:
    """A table as it stands in the file.

    Args:
        where: its key path, such as `fabric.tide`.
        table: what it may hold.
        raw: what it holds.
        unit: what a bare number means.
    """

    where: str
    table: Table
    raw: Mapping[str, object]
    unit: Unit

    def __post_init__(self) -> None:
        names = [field.key for field in self.table.fields]
        for key in self.raw:
            known(key, names, f"{self.where}.{key}" if key.isprintable() else self.where)
        for field in self.table.fields:
            if field.required and field.key not in self.raw and field.unless not in self.raw:
                raise self.error(field.key, f"is missing; give it: {field.says}")

    def all_kits(self, key: str, count: int, kits: int, *, most: int) -> int:
        """Return a number of one kit, so many times.

        Raises:
            JobError: that is more than is allowed.
        """
        if count * kits > most:
            raise self.error(
                key, f"{count} in each of {kits} kits are {count * kits}; at most {most} are allowed in all"
            )
        return count * kits

    def not_both(self, first: str, second: str) -> None:
        """Do nothing unless two keys that exclude each other are both there.

        Raises:
            JobError: they are.
        """
        if first in self.raw and second in self.raw:
            raise self.error(first, f"stands beside {second}; leave one of the two out")

    def error(self, key: str, says: str) -> JobError:
        """Return an error at one of the keys."""
        return JobError(f"{self.where}.{key}", says)

    def value(self, key: str) -> tuple[Field, object]:
        """Return the field of a key, and what the file has there or else the default (None: neither)."""
        field = self.table.field(key)
        if field.later and field.key in self.raw and field.default is None:
            raise self.error(key, field.later)
        return field, self.raw.get(key, field.default)

    def length(self, key: str) -> float | None:
        """Return a length in mm, None if it was left out and has no default."""
        field, value = self.value(key)
        if value is None:
            return None
        if isinstance(value, int) and abs(value) > LONGEST_MM:
            raise self.error(key, f"{quoted(value)} is too long; at most {LONGEST_MM / 1000:g} m is allowed")
        try:
            mm = length_mm(value, self.unit)
        except GeometryError:
            words = "".join(f', or "{word}"' for word in field.choices)
            raise self.error(key, f"{quoted(value)} is not a length; write one like {FORMS}{words}") from None
        if mm < 0:
            raise self.error(key, f"{quoted(value)} is below 0; a length {_allowed(field)}")
        if field.least and mm < 1e-3:  # a micrometre: nothing that can be sewn or cut is finer
            raise self.error(key, f"{quoted(value)} is too short; a length {_allowed(field)}")
        if mm > LONGEST_MM:
            raise self.error(key, f"{quoted(value)} is too long; at most {LONGEST_MM / 1000:g} m is allowed")
        if field.later and mm > 0:
            raise self.error(key, f"{quoted(value)} {field.later}")
        return mm

    def lengths(self, key: str) -> tuple[float, ...]:
        """Return lengths in mm from a list, each greater than the one before; none if it was left out."""
        _, value = self.value(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not 0 < len(value) <= _MOST_LENGTHS:
            raise self.error(
                key,
                (f"has {len(value)} lengths" if isinstance(value, list) else f"{quoted(value)} is no list")
                + f'; 1 to {_MOST_LENGTHS} lengths are allowed, in a list like ["3 1/2"]',
            )
        found: list[float] = []
        for number, entry in enumerate(value, start=1):
            where = f"{key}.{number}"
            try:
                mm = length_mm(entry, self.unit)
            except GeometryError:
                raise self.error(where, f"{quoted(entry)} is not a length; write one like {FORMS}") from None
            if not (found[-1] if found else 0.0) < mm <= LONGEST_MM:
                raise self.error(where, f"{quoted(entry)} is not above the one before; order them outwards")
            found.append(mm)
        return tuple(found)

    def sure_length(self, key: str) -> float:
        """Return a length in mm that is required or has a default."""
        mm = self.length(key)
        assert mm is not None, key
        return mm

    def count(self, key: str) -> int | None:
        """Return a whole number within its limits, None if it was left out and has no default."""
        field, value = self.value(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not field.least <= value <= field.most:
            words = "".join(f', or "{word}"' for word in field.choices)
            allowed = f"give a whole number from {field.least} to {field.most}{words}"
            raise self.error(key, f"{quoted(value)} is not allowed; {allowed}")
        return value

    def sure_count(self, key: str) -> int:
        """Return a whole number that has a default."""
        count = self.count(key)
        assert count is not None, key
        return count

    def number(self, key: str) -> float:
        """Return a number without a unit, within its limits, to six places; it has a default."""
        field, value = self.value(key)
        fits = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not (fits and field.least <= value <= field.most):  # type: ignore[operator]  # NaN fails, too
            raise self.error(
                key,
                f"{quoted(value)} is not allowed; give a number from {field.least:g} to {field.most:g}, "
                "without quotes",
            )
        return round(float(value), 6)  # type: ignore[arg-type]

    def choice(self, key: str, kind: type[E]) -> E:
        """Return the member whose value is written there."""
        field, value = self.value(key)
        if value not in field.choices:
            raise self.error(key, _no_choice(field, value))
        return kind(value)

    def choice_by_shape(self, key: str, kind: type[E], shapes: Sequence[str]) -> dict[str, E]:
        """Return the member for each of the shapes; for those that the file says nothing of, none.

        Args:
            key: what stands there: a word for all shapes, or a table with a word for some.
            kind: what the words are.
            shapes: that there may be words for.
        """
        field, value = self.value(key)
        if not isinstance(value, Mapping):
            return dict.fromkeys(shapes, self.choice(key, kind)) if key in self.raw else {}
        found: dict[str, E] = {}
        for shape, word in value.items():
            where = f"{self.where}.{key}.{shape}" if shape.isprintable() else f"{self.where}.{key}"
            known(shape, shapes, where, what="shape")
            if word not in field.choices:
                raise JobError(where, _no_choice(field, word))
            found[shape] = kind(word)
        return found

    def choices(self, key: str) -> tuple[str, ...]:
        """Return the words of a list, each one of the allowed and none twice."""
        field, value = self.value(key)
        if isinstance(value, tuple):
            return value
        if not isinstance(value, list):
            raise self.error(key, f"{quoted(value)} is not a list; write [{_listed(field.choices)}] or fewer")
        for number, word in enumerate(value, start=1):
            if word not in field.choices:
                raise self.error(
                    f"{key}.{number}", f"{quoted(word)} is not allowed; choose {either(field.choices)}"
                )
            if value.index(word) != number - 1:
                raise self.error(f"{key}.{number}", f"{quoted(word)} is there twice; leave one out")
        return tuple(value)

    def flag(self, key: str) -> bool:
        """Return true or false."""
        _, value = self.value(key)
        if not isinstance(value, bool):
            raise self.error(key, f"{quoted(value)} is not allowed; write true or false, without quotes")
        return value

    def text(self, key: str) -> str:
        """Return one line of text."""
        _, value = self.value(key)
        if not isinstance(value, str) or not value.isprintable() or not 0 < len(value) <= _LONGEST_TEXT:
            raise self.error(
                key, f"{quoted(value)} is not allowed; give one line of 1 to {_LONGEST_TEXT} characters"
            )
        return value

    def labels(self, key: str, several: str) -> tuple[str, ...]:
        """Return the name in any script at `key`, or those in the list that stands at `several` instead."""
        if several not in self.raw:
            return (self._label(key, self.raw[key]),)
        if key in self.raw:
            raise self.error(key, f"stands beside {several}; leave one of the two out")
        values = self.raw[several]
        if not isinstance(values, list) or not 0 < len(values) <= _MOST_NAMES:
            problem = f"{quoted(values)} is no list of names" if values != [] else "names nothing"
            if isinstance(values, list) and values:
                problem = f"has {len(values)} names"
            raise self.error(several, f'{problem}; write 1 to {_MOST_NAMES}, like ["tide", "shingle"]')
        names = tuple(self._label(f"{several}.{at}", value) for at, value in enumerate(values, start=1))
        for at, name in enumerate(names, start=1):
            if name in names[: at - 1]:
                raise self.error(f"{several}.{at}", f"{quoted(name)} is there twice; leave one out")
        return names

    def order(
        self, key: str, fabrics: Mapping[str, bool], *, places: int, kept_out: Collection[str]
    ) -> tuple[str, ...]:
        """Return names of fabrics, to be repeated; none where the word for an even spread stands there.

        Args:
            key: where they stand.
            fabrics: every fabric of the job, and whether how many blades it gives can follow from an order.
            places: how many blades a plate has; more names than that say nothing.
            kept_out: names of fabrics that the job does without.
        """
        _, value = self.value(key)
        if value == SPREAD:
            return ()
        if not isinstance(value, list) or not value:
            problem = "names no fabric" if value == [] else f"{quoted(value)} is no order"
            raise self.error(
                key, f'{problem}; write "{SPREAD}" or a list of fabrics, like ["tide", "shingle"]'
            )
        if len(value) > places:
            raise self.error(
                key, f"has {len(value)} names for the {places} blades of a plate; write {places} at most"
            )
        names = []
        for number, entry in enumerate(value, start=1):
            where = f"{self.where}.{key}.{number}"
            name = label_of(entry)
            if name is None:
                raise JobError(where, f"{quoted(entry)} is no name of a fabric")
            if name in kept_out:
                raise JobError(
                    where,
                    f"every piece of {quoted(name)} is kept out; lower its keep_out, or leave it out here",
                )
            known(name, fabrics, where, what="fabric")
            if not fabrics[name]:
                raise JobError(
                    where,
                    f"{quoted(name)} gives no number of blades that an order can settle; write blade "
                    '= "rest" or a number among its cuts, or leave it out here',
                )
            names.append(name)
        return tuple(names)

    def _label(self, key: str, value: object) -> str:
        name = label_of(value)
        if name is None:
            raise self.error(
                key,
                f"{quoted(value)} is not a name; use 1 to {_LONGEST_NAME} characters of any script, "
                "no space first or last",
            )
        return name

    def name(self, key: str) -> str:
        """Return a name of ASCII letters, digits and hyphens, as ids are made of."""
        _, value = self.value(key)
        if not isinstance(value, str) or not _NAME.fullmatch(value):
            raise self.error(
                key,
                f"{quoted(value)} is not a name; use 1 to 40 letters a to z, digits and hyphens, "
                "no hyphen first",
            )
        return value


def label_of(value: object) -> str | None:
    """Return what a person may call a thing, in any script, composed as NFC has it; None where it is no name.

    >>> label_of("Grün"), label_of("high tide"), label_of(" tide"), label_of("a" * 41), label_of(7)
    ('Grün', 'high tide', None, None, None)
    """
    if not isinstance(value, str):
        return None
    name = unicodedata.normalize("NFC", value)
    shown = name.translate(_JOINERS)
    fits = 0 < len(name) <= _LONGEST_NAME and shown.isprintable() and shown.strip() == shown != ""
    return name if fits else None


def _no_choice(field: Field, value: object) -> str:
    """What is said of a value that is none of the choices."""
    hint = next((says for word, says in field.hints if isinstance(value, str) and word in value), "")
    return f"{quoted(value)} is not allowed; choose {either(field.choices)}{hint}"


def _allowed(field: Field) -> str:
    return "above 0 is allowed" if field.least else "of 0 or more is allowed"


def either(choices: tuple[str, ...]) -> str:
    """Return choices as a message lists them: `svg, dxf or hpgl`."""
    if len(choices) == 1:
        return choices[0]
    return f"{', '.join(choices[:-1])} or {choices[-1]}"


def _listed(choices: tuple[str, ...]) -> str:
    return ", ".join(f'"{choice}"' for choice in choices)
