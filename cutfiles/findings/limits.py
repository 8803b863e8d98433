"""How much `check` reads and measures before it says that it is too much. Each with its reason."""

from __future__ import annotations

from cutfiles.core.errors import UnreadableError

# A load of 2,400 labelled pieces is 80 MB of DXF, the wordiest of the formats. A file is held in memory.
MOST_BYTES = 200_000_000

# A layout of ten thousand pieces has 3 MB; read, JSON takes ten times its size.
MOST_LAYOUT_BYTES = 30_000_000

# Lines that are kept one by one: outlines, arcs, circles. Each takes about a kilobyte.
MOST_ITEMS = 200_000

# Corners of all lines together: the straight strokes of a million-line drawing take 16 bytes a corner.
MOST_CORNERS = 4_000_000

# Elements, entities or commands of one file, whatever they are: empty ones by the ten million take minutes.
MOST_PARTS = 5_000_000

# Groups within groups, and blocks within blocks. Drawing programs stay below ten.
DEEPEST = 64
DEEPEST_BLOCK = 16

# Entities of blocks, counted each time that they are inserted: a few blocks that insert each other ten
# times make a billion.
MOST_INSERTED = 200_000

# Of a DXF that is taken apart at a time: large enough to be quick, small enough to be nothing.
CHUNK_BYTES = 4_000_000

# Corner by corner comparisons of outlines that aren't where they should be with all shapes, turned all ways:
# each takes the square of the corners.
MOST_COMPARED = 200_000_000

# Corners of lines to cut along which a trailing knife is walked: some twenty steps of a microsecond each.
MOST_WALKED = 500_000

# Of a PDF: a mat of the longest side on the smallest paper has fewer that aren't empty.
MOST_PAGES = 2_000

# Things in one file that can't be read, told one by one, before the reading is given up.
MOST_FAULTS = 20_000


class TooMuchError(UnreadableError):
    """A file that holds more than can be measured: a clear refusal, in time."""


def check_count(count: int, most: int, things: str) -> None:
    """Do nothing if there are at most so many things in a file.

    Raises:
        TooMuchError: there are more.
    """
    if count > most:
        raise TooMuchError(f"more than {most} {things}")


def check_faults(count: int) -> None:
    """Do nothing if a file has no more faults than are gathered.

    Raises:
        TooMuchError: it has more.
    """
    check_count(count, MOST_FAULTS, "things in it can't be read")


def check_corners(count: int) -> None:
    """Do nothing if the lines of a file have no more corners in all than can be measured.

    Raises:
        TooMuchError: they have more.
    """
    if count > MOST_CORNERS:
        raise TooMuchError(f"lines of more than {MOST_CORNERS} corners in all")
