"""Which formats there are: the one place for their names, suffixes, and what people are told of them.

A format is a folder beside this module, with a writer and a reader, and an entry here. Both are named as text
and loaded when they are called: whoever asks for names only, as the job file's field table and `--help` do,
loads no library, and whoever reads loads no writer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from importlib import import_module
from typing import TYPE_CHECKING, Protocol, cast

from cutfiles.formats.model.tool import Tool

if TYPE_CHECKING:
    from cutfiles.formats.model.drawing import Names, Reading
    from cutfiles.formats.model.plan import LoadPlan
    from cutfiles.formats.model.style import OutputStyle


class Audience(Enum):
    """Who takes a file. Only a machine is told kerf, parts and corrections; others get pieces as they are."""

    MACHINE = "machine"
    PROGRAM = "program"
    PRINTER = "printer"


class Writer(Protocol):
    """What writes one load in a format. The same plan and style give the same bytes."""

    def __call__(self, plan: LoadPlan, *, style: OutputStyle) -> bytes:
        """Return a file."""


class Reader(Protocol):
    """Reads a file of a format; it shares no code with the writer."""

    def __call__(self, content: bytes, *, layers: Names) -> Reading:
        """Return the drawing in a file.

        Args:
            content: the file.
            layers: what its layers are called, in capitals, where a job chose other names than ours.

        Raises:
            UnreadableError: the bytes are no such file, or not a whole one.
            TooMuchError: it holds more than can be measured.
        """


class Notes(Protocol):
    """What tells a person of the limits that files of these loads meet in a format."""

    def __call__(self, loads: Sequence[LoadPlan], *, style: OutputStyle) -> Iterable[str]:
        """Return the notes."""


@dataclass(frozen=True, slots=True)
class Format:
    """A file format.

    Args:
        name: what a job file calls it.
        suffix: the end of its files' names.
        title: what people call it.
        audience: who takes its files.
        writer: `module:function`, a `Writer`.
        reader: `module:function`, a `Reader`.
        noter: `module:function`, a `Notes`, if it can't hold whatever there is.
        other_suffixes: ends of names that are read as well, never written.
        found_as: how a machine's program shows a tool's lines: `{tool}`, `{layer}` and `{pen}` are put in.
        to_open: what to mind on opening a file, for the job sheet.
    """

    name: str
    suffix: str
    title: str
    audience: Audience
    writer: str
    reader: str
    noter: str = ""
    other_suffixes: tuple[str, ...] = ()
    found_as: str = ""
    to_open: str = ""

    def write(self, plan: LoadPlan, *, style: OutputStyle) -> bytes:
        """Return one load as a file of this format."""
        return cast(Writer, _loaded(self.writer))(plan, style=style)

    def read(self, content: bytes, *, layers: Names) -> Reading:
        """Return the drawing in a file of this format; errors as `Reader` has them."""
        return cast(Reader, _loaded(self.reader))(content, layers=layers)

    def notes(self, loads: Sequence[LoadPlan], *, style: OutputStyle) -> tuple[str, ...]:
        """Return what a person should know of these loads' files."""
        return tuple(cast(Notes, _loaded(self.noter))(loads, style=style)) if self.noter else ()

    def where(self, tool: Tool, *, style: OutputStyle) -> str:
        """Return how a tool's lines are found in a file, for a person; empty where no machine runs it."""
        if tool is Tool.PLACE and "{pen}" in self.found_as:
            return ""  # pens are no layers: it isn't there
        pen = 2 if tool is Tool.CUT else 1
        return self.found_as.format(tool=tool.value, layer=style.layer(tool).name, pen=pen)


def _loaded(name: str) -> Callable[..., object]:
    module, _, function = name.partition(":")
    return cast(Callable[..., object], getattr(import_module(module), function))


_READ_DXF = "cutfiles.formats.sewn.read:read_any_dxf"
_ALL = (
    Format(
        "svg", ".svg", "SVG", Audience.MACHINE,
        writer="cutfiles.formats.svg.write:write_svg",
        reader="cutfiles.formats.svg.read:read_svg",
        found_as="group “{tool}” in the SVG",
    ),
    Format(
        "dxf", ".dxf", "DXF", Audience.MACHINE,
        writer="cutfiles.formats.dxf.write:write_dxf",
        reader=_READ_DXF,
        found_as="layer “{layer}” in the DXF",
    ),
    Format(
        "dxf-r12", ".r12.dxf", "DXF R12", Audience.MACHINE,
        writer="cutfiles.formats.dxf.write:write_dxf_r12",
        reader=_READ_DXF,
        found_as="layer “{layer}” in the DXF",
        to_open="R12 holds no unit: answer millimetres if you are asked.",
    ),
    Format(
        "hpgl", ".plt", "HP-GL", Audience.MACHINE,
        writer="cutfiles.formats.hpgl.write:write_hpgl",
        reader="cutfiles.formats.hpgl.read:read_hpgl",
        noter="cutfiles.formats.hpgl.write:far_notes",
        other_suffixes=(".hpgl",),
        found_as="pen {pen} in the HP-GL",
        to_open="In HP-GL pen 1 draws, lines and marks in one go, and pen 2 cuts.",
    ),
    Format(
        "sewn-dxf", ".sewn.dxf", "sewn-product DXF", Audience.PROGRAM,
        writer="cutfiles.formats.sewn.write:write_sewn_dxf",
        reader=_READ_DXF,
    ),
    Format(
        "pdf", ".pdf", "PDF", Audience.PRINTER,
        writer="cutfiles.formats.pdf.write:write_pdf",
        reader="cutfiles.formats.pdf.read:read_pdf",
        noter="cutfiles.formats.pdf.write:left_out_notes",
    ),
)  # fmt: skip
FORMATS = {file_format.name: file_format for file_format in _ALL}
DEFAULT = ("svg", "dxf")  # what a job that names none gets


def format_of(file_name: str) -> Format | None:
    """Return the format of a file by the longest suffix that fits, in capitals or not; None if none does."""
    ending = _ending(file_name)
    return None if ending is None else ending[1]


def stem_of(file_name: str) -> str:
    """Return a file's name without its format's suffix: of `load-01.r12.dxf` it is `load-01`."""
    ending = _ending(file_name)
    return file_name if ending is None else file_name[: -len(ending[0])]


def _ending(file_name: str) -> tuple[str, Format] | None:
    fitting = [
        (suffix, file_format)
        for file_format in _ALL
        for suffix in (file_format.suffix, *file_format.other_suffixes)
        if file_name.lower().endswith(suffix) and len(file_name) > len(suffix)
    ]
    return max(fitting, key=lambda pair: len(pair[0]), default=None)


def main_formats() -> tuple[Format, ...]:
    """Return a format for each kind of file that people tell apart: of all that end alike, the plainest."""
    return tuple(file_format for file_format in _ALL if file_format.suffix.count(".") == 1)


def titles() -> tuple[str, ...]:
    """Return what the kinds of files are called, with the end of the name where it says something else."""
    return tuple(
        file_format.title
        if file_format.suffix == f".{file_format.title.lower()}"
        else f"{file_format.title} ({file_format.suffix})"
        for file_format in main_formats()
    )
