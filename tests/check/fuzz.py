"""Files broken at random, by number: the same number breaks the same file in the same way, on any machine."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path

from cutfiles.check.check import check_paths
from cutfiles.core.errors import CutfilesError
from cutfiles.core.units import Unit
from tests.check.drawings import drawing_of, usual_layout, write_folder
from tests.check.more_formats import FORMATS

SOUND = {suffix: written(drawing_of(usual_layout())).encode() for suffix, written in FORMATS.items()}
SOUND["json"] = json.dumps(usual_layout(), indent=1).encode()
_WORDS = {
    "svg": (b'<g> </g> <g/> <path d="M0 0 A1 1 0 0 0 2 2" viewBox id= transform= &amp; &x; <![CDATA[ ]]>'),
    "dxf": b"SECTION ENDSEC ENTITIES BLOCKS BLOCK ENDBLK INSERT POLYLINE VERTEX SEQEND LINE ARC TEXT EOF",
    "plt": b"IN DF SP0 SP1 SP2 PU PD PA PR AA0,0,360 AR1,1,-90 CI9 LB SC RO90 PE \x1b%0A \x03 nan ; , - .",
    "json": b'null true [] {} NaN 1e999 "" -1 "shape": "loads": [[[[',
}
_NUMBERS = b"0 -0 1e308 -1e308 1e-320 99999 100001 NaN inf 0x10 1_0 \xc2\xbd \xff 32768 999999999 .".split()


def broken(number: int) -> tuple[str, bytes]:
    """Return the suffix and the content of a broken file."""
    rng = random.Random(number)
    suffix = rng.choice(sorted(SOUND))
    if rng.random() < 0.05:
        return suffix, rng.randbytes(rng.randrange(600))
    content = SOUND[suffix]
    for _ in range(rng.choice((1, 1, 2, 4, 9))):
        content = rng.choice(_BREAKS)(content, rng, suffix)[:200_000]
    return suffix, content


def _span(content: bytes, rng: random.Random, most: int) -> tuple[int, int]:
    start = rng.randrange(len(content) + 1)
    return start, min(len(content), start + rng.randrange(most))


def _flip(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    whole = bytearray(content)
    for _ in range(rng.randrange(1, 8)):
        if whole:
            whole[rng.randrange(len(whole))] ^= 1 << rng.randrange(8)
    return bytes(whole)


def _truncate(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    return content[: rng.randrange(len(content) + 1)]


def _cut_out(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    start, end = _span(content, rng, 400)
    return content[:start] + content[end:]


def _double(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    start, end = _span(content, rng, 2000)
    to = rng.randrange(len(content) + 1)
    return content[:to] + content[start:end] * rng.choice((1, 1, 2, 20)) + content[to:]


def _swap_lines(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    lines = content.split(b"\n")
    for _ in range(rng.randrange(1, 5)):
        first, second = rng.randrange(len(lines)), rng.randrange(len(lines))
        lines[first], lines[second] = lines[second], lines[first]
    return b"\n".join(lines)


def _put_word(content: bytes, rng: random.Random, suffix: str) -> bytes:
    words = (_WORDS.get(suffix) or _WORDS["dxf"]).split(b" ")
    start, end = _span(content, rng, 8)
    return content[:start] + rng.choice(words) + content[end:]


def _put_number(content: bytes, rng: random.Random, _suffix: str) -> bytes:
    """In place of one that is there."""
    starts = [index for index, byte in enumerate(content) if 48 <= byte <= 57]
    if not starts:
        return content
    start = rng.choice(starts)
    end = start
    while end < len(content) and content[end] in b"0123456789.-":
        end += 1
    return content[:start] + rng.choice(_NUMBERS) + content[end:]


def _put_line(content: bytes, rng: random.Random, suffix: str) -> bytes:
    lines = content.split(b"\n")
    words = (_WORDS.get(suffix) or _WORDS["dxf"]).split(b" ")
    lines[rng.randrange(len(lines))] = rng.choice((*words, *_NUMBERS))
    return b"\n".join(lines)


_Break = Callable[[bytes, random.Random, str], bytes]
_BREAKS: tuple[_Break, ...] = (
    _flip, _truncate, _cut_out, _double, _swap_lines, _put_word, _put_number, _put_number, _put_line
)  # fmt: skip


def ends_well(folder: Path, suffix: str, content: bytes) -> str:
    """Check a broken file among sound ones and alone, import it, and return how that ended.

    Any error but those of our own escapes.
    """
    write_folder(folder, usual_layout(), {})
    name = "layout.json" if suffix == "json" else f"load-01.{suffix}"
    for good, text in (("load-01.svg", SOUND["svg"]), (name, content)):
        (folder / good).write_bytes(text)
    ends = [_checked(folder)]
    if suffix != "json":
        alone = folder / f"alone.{suffix}"
        alone.write_bytes(content)
        ends.append(_checked(alone))
        ends.append(_imported(alone))
    return " ".join(ends)


def _checked(path: Path) -> str:
    try:
        report = check_paths([path])
    except CutfilesError as error:
        return f"refused ({_line(error)})"
    assert json.loads(json.dumps(report.json())) == report.json()
    assert all(finding.line().isprintable() for finding in report.findings)
    return f"{len(report.findings)} findings"


def _imported(path: Path) -> str:
    from cutfiles.pieces.drawings.outline import drawn_outline

    try:
        drawn_outline(path, Unit.MM)
    except CutfilesError as error:
        return f"refused ({_line(error)})"
    return "imported"


def _line(error: CutfilesError) -> str:
    text = str(error)
    assert text.isprintable(), text
    return text
