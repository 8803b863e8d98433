"""The registry is whole: what stands in it can be written, read back and looked up, and nowhere else."""

from __future__ import annotations

import ast
import inspect
import logging
import re
import subprocess
import sys
from dataclasses import replace
from importlib import import_module
from pathlib import Path

import pytest

from cutfiles.formats.model.drawing import Layer
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.registry import (
    DEFAULT,
    FORMATS,
    Audience,
    Format,
    format_of,
    main_formats,
    stem_of,
    titles,
)
from cutfiles.geometry.outline import area, bounds
from cutfiles.job.schema.output import OUTPUT
from tests.formats.plans import plan

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs" / "files-and-layers.md"
EACH = pytest.mark.parametrize("kind", FORMATS.values(), ids=FORMATS)
# Where a user's own drawings are read, of which SVG and DXF are the only kinds.
DRAWINGS = ROOT / "cutfiles" / "pieces" / "drawings"


@EACH
def test_a_format_comes_back_as_it_was_written(kind: Format) -> None:
    """Outlines by area and place, and as much drawn: what is written in a format is read in it."""
    load = plan()
    drawing = kind.read(kind.write(load, style=DEFAULT_STYLE), layers={}).drawing
    exact = drawing.kind.pair_mm

    def measured(path: object) -> tuple[float, ...]:
        return (*bounds(path), abs(area(path)))  # type: ignore[arg-type]

    written = sorted(measured(item.path) for item in drawing.on(Layer.CUT))
    meant = sorted(measured(outline) for _, outline in load.outlines)
    assert len(written) == len(meant) > 1
    for back, before in zip(written, meant, strict=True):
        assert back[:4] == pytest.approx(before[:4], abs=exact)
        assert back[4] == pytest.approx(before[4], rel=0.001)
    assert len(drawing.drawn) + len(drawing.on(Layer.DRAW)) > 0


@EACH
def test_a_format_has_its_row_in_the_docs(kind: Format) -> None:
    """Its name, and how a file of it is called."""
    assert f"\n| `{kind.name}` | `load-01{kind.suffix}` | " in DOCS.read_text(encoding="utf-8")


@EACH
def test_all_formats_are_called_alike(kind: Format) -> None:
    """One signature for writers, one for readers, one for notes."""
    wanted = {
        kind.writer: ["plan", "style"],
        kind.reader: ["content", "layers"],
        kind.noter: ["loads", "style"],
    }
    for name, arguments in wanted.items():
        if not name:
            continue
        module, _, function = name.partition(":")
        assert module.startswith("cutfiles.formats.")
        signature = inspect.signature(getattr(import_module(module), function))
        first, *rest = signature.parameters.values()
        assert [parameter.name for parameter in signature.parameters.values()] == arguments
        assert first.kind is first.POSITIONAL_OR_KEYWORD
        assert all(parameter.kind is parameter.KEYWORD_ONLY for parameter in rest)


@EACH
def test_a_machine_s_format_says_where_its_lines_are(kind: Format) -> None:
    """The job sheet tells which group, layer or pen to run; nobody runs the others."""
    words = {kind.where(tool, style=DEFAULT_STYLE) for tool in Tool}
    assert (words == {""}) == (kind.audience is not Audience.MACHINE)


def test_a_file_s_format_is_known_by_the_longest_suffix() -> None:
    """Whatever the case; a name that is nothing but a suffix is no machine file."""
    for kind in FORMATS.values():
        for suffix in (kind.suffix, kind.suffix.upper(), *kind.other_suffixes):
            assert format_of(f"load-01{suffix}") is kind
            assert stem_of(f"load-01{suffix}") == "load-01"
    assert format_of(".svg") is None
    assert format_of("notes.txt") is None
    assert stem_of("notes.txt") == "notes.txt"
    assert len({kind.suffix for kind in FORMATS.values()}) == len(FORMATS)


def test_the_kinds_of_files_in_words() -> None:
    """As messages name them: each file is of one kind, and no two kinds are called alike."""
    for kind in FORMATS.values():
        (plainest,) = (form for form in main_formats() if kind.suffix.endswith(form.suffix))
        assert format_of(f"any{plainest.suffix}") is plainest
    assert len(set(titles())) == len(main_formats()) < len(FORMATS)
    assert {"SVG", "HP-GL (.plt)"} < set(titles())


def test_the_job_file_takes_its_formats_from_here() -> None:
    """And what it has where nothing is said."""
    field = next(entry for entry in OUTPUT.fields if entry.key == "files")
    assert field.choices == tuple(FORMATS)
    assert field.default == DEFAULT
    assert set(DEFAULT) <= set(FORMATS)


def test_names_and_suffixes_stand_in_the_registry_alone() -> None:
    """No other module has one of them as a string of its own, puts one behind a name, or lists several."""
    ours = {kind.suffix for kind in FORMATS.values()} | {"dxf-r12", "hpgl", "sewn-dxf"}
    suffixes = "|".join(re.escape(suffix) for suffix in sorted(ours) if suffix.startswith("."))
    told = re.compile(rf"^(?:{suffixes})\b|(?<!\w)(?:{suffixes})\b.*(?<!\w)(?:{suffixes})\b", re.DOTALL)
    registry = ROOT / "cutfiles" / "formats" / "registry.py"
    for path in sorted((ROOT / "cutfiles").rglob("*.py")):
        if path == registry or path.parent == DRAWINGS:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert node.value not in ours, path
                assert not told.search(node.value), f"{path}:{node.lineno}"


@EACH
def test_somebody_else_reads_a_format(kind: Format) -> None:
    """A file of `tests/outside` has its writer's output read by what is not ours."""
    _, _, writer = kind.writer.partition(":")
    others = (ROOT / "tests" / "outside").glob("test_*.py")
    assert any(re.search(rf"\b{writer}\b", path.read_text(encoding="utf-8")) for path in others), writer


def test_no_format_knows_the_registry() -> None:
    """It names them as text, which would hide a circle of imports."""
    for path in sorted((ROOT / "cutfiles" / "formats").rglob("*/*.py")):
        assert "formats.registry" not in path.read_text(encoding="utf-8"), path


def test_reading_loads_no_writer(tmp_path: Path) -> None:
    """In a process of its own, all formats in turn: what is never loaded can't lend its mistakes."""
    for kind in FORMATS.values():
        (tmp_path / f"load-01{kind.suffix}").write_bytes(kind.write(plan(), style=DEFAULT_STYLE))
    code = (
        "import sys; from pathlib import Path\n"
        "from cutfiles.formats.registry import format_of\n"
        "for path in Path(sys.argv[1]).iterdir():\n"
        "    assert format_of(path.name).read(path.read_bytes(), layers={}).drawing.items\n"
        "found = [name for name in sys.modules if name.startswith('cutfiles.formats.')]\n"
        "print(*(name for name in found if name.split('.')[-1].startswith('write')), len(found) > 10)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert run.stdout.strip() == "True"


@EACH
def test_settings_of_libraries_are_put_back(kind: Format) -> None:
    """They hold for the whole process, which isn't ours when cutfiles is called as a library."""
    import ezdxf

    logs = [logging.getLogger(name) for name in ("ezdxf", "pypdf")]

    def settings() -> list[object]:
        return [
            ezdxf.options.write_fixed_meta_data_for_testing,
            *((log.level, log.handlers[:]) for log in logs),
        ]

    before = settings()
    kind.read(kind.write(replace(plan(), width_mm=77.0), style=DEFAULT_STYLE), layers={})
    assert settings() == before
