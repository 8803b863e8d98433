"""HP-GL, read independently of the writer: the text parsed into commands.

Source: Hewlett-Packard, PCL 5 Printer Language Technical Reference Manual, part II: two letters, their
numbers, and a semicolon or the next letters; a label ends at ETX; ESC begins what is no HP-GL.
"""

from __future__ import annotations

import re

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.hpgl.read_plotter import Plotter
from cutfiles.formats.model.drawing import Names, Reading

# Two letters and what they are given; NaN and inf are no letters of the next command.
_COMMAND = re.compile(
    rb"[\s;]*([A-Za-z]{2})([^A-Za-z;\x03\x1b]*(?:(?i:nan|inf(?=[,;\s]))[^A-Za-z;\x03\x1b]*)*)(;?)"
)
# The commonest of all, strokes of lettering: there with the pen up, along with it down, and up again. Some
# thousand at a time: arrays for all of a large file would take as much again as all that is kept of it.
_POINT = rb"-?[0-9]{1,9},-?[0-9]{1,9}"
_STROKES = re.compile(rb"(?:\s*+PU%b;PD%b(?:,%b)*+;(?=\s*+PU)){1,4096}+" % (_POINT, _POINT, _POINT))
_BLANK = re.compile(rb"[\s;\x03]*")
_ESCAPE = re.compile(rb"\x1b(?:%-?[0-9]*[A-Z]|E|\.[@-~][0-9;]*:?)")


def read_hpgl(content: bytes, *, layers: Names | None = None) -> Reading:
    """Return the drawing of an HP-GL file, which has pens and no `layers`.

    Raises:
        UnreadableError: it holds no command of HP-GL.
        TooMuchError: it holds more than can be measured.
    """
    if b"\0" in content:
        raise UnreadableError("is no HP-GL: it holds zero bytes")
    reader = Plotter()
    if not content.isascii():
        place = next(index for index, byte in enumerate(content) if byte > 127)
        reader.say(Fault(Code.NOT_ASCII, f"byte {place + 1}", "holds signs beyond ASCII"))
    at = 0
    while at >= 0:
        strokes = _STROKES.match(content, at) if reader.may_add_strokes() else None
        if strokes is not None:
            reader.add_strokes(strokes[0])
            at = strokes.end()
        else:
            command = _COMMAND.match(content, at)
            at = _over(content, at, reader) if command is None else _executed(content, command, reader)
    return reader.result()


def _executed(content: bytes, command: re.Match[bytes], reader: Plotter) -> int:
    """Execute a command, and return where the next begins."""
    at = command.end()
    name = command[1].decode("ascii").upper()
    if name == "LB":
        end = content.find(b"\x03", at)
        at = len(content) if end < 0 else end + 1
    reader.run(name, command[2], ended=bool(command[3]) or at < len(content))
    return at


def _over(content: bytes, at: int, reader: Plotter) -> int:
    """Step over what is no command: an escape, or rubbish up to the next semicolon; -1 at the end."""
    blank = _BLANK.match(content, at)
    at = at if blank is None else blank.end()
    if at == len(content):
        return -1
    escape = _ESCAPE.match(content, at)
    if escape is not None:
        return escape.end()
    shown = content[at : at + 20].split(b";")[0].decode("ascii", errors="replace")
    reader.say(Fault(Code.NOT_A_NUMBER, f"byte {at + 1}", f"{shown!r} is no command and no number of HP-GL"))
    end = content.find(b";", at + 1)
    return len(content) if end < 0 else end
