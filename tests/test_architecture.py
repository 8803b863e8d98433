"""The house rules: imports run leftwards only and in no circle, modules import alone, nothing loads early."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping, Set
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "cutfiles"
MODULES = sorted(PACKAGE.rglob("*.py"))


def _drawn(row: str) -> list[str]:
    """Return what stands in a row of the picture in DEVELOPERS.md, from left to right."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    picture = page[page.index("## The house") :].split("```")[1]
    (line,) = [line for line in picture.splitlines() if line.startswith(f"{row} ")]
    return re.findall(r"[a-z_]+", line.removeprefix(row))


# The picture is the rule: what is drawn there is what imports are held against.
GROUND = tuple(_drawn("ground"))
LINE = (*GROUND, *_drawn("stages")[:-1])
TOP = (*_drawn("faces"), *_drawn("line"), "__init__", "__main__")
HEAVY = ("shapely", "numpy", "ezdxf", "lxml", "pypdf", "highspy", "PIL")


def _stage(path: Path) -> str:
    parts = path.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else path.stem


def _name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


NAMES = {_name(path) for path in MODULES}


@cache
def _imports(path: Path, *, late: bool = True) -> frozenset[str]:
    """Modules of ours that a file imports: at its top, and inside a function if asked for what comes late."""
    imported: set[str] = set()
    left: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
    while left:
        node = left.pop()
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            imported.add(node.module or "")
            imported.update({f"{node.module}.{alias.name}" for alias in node.names} & NAMES)
        elif isinstance(node, ast.Import):
            imported.update(alias.name for alias in node.names)
        if late or not isinstance(node, ast.FunctionDef):
            left.extend(ast.iter_child_nodes(node))
    return frozenset(name for name in imported if name.split(".")[0] == "cutfiles")


def _folder(name: str) -> str:
    """Return the folder of a module, itself if it is one."""
    return name if (ROOT / name.replace(".", "/")).is_dir() else name.rpartition(".")[0]


def _assert_no_circle(graph: Mapping[str, Set[str]]) -> None:
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, f"circle: {' -> '.join((*trail, name))}"
        if name in done or name not in graph:
            return
        for other in sorted(graph[name] - {name}):
            visit(other, (*trail, name))
        done.add(name)

    for name in sorted(graph):
        visit(name, ())


def test_every_folder_has_its_place_in_the_line() -> None:
    """A new stage must be put into the picture of DEVELOPERS.md; `check` stands there by itself."""
    assert _drawn("stages")[-1] == "check"
    assert len(LINE) == len(set(LINE)) > 10
    assert {_stage(path) for path in MODULES} == {*LINE, "check", *TOP}


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_a_stage_imports_only_what_stands_to_its_left(path: Path) -> None:
    """Check, besides, knows nothing of the stages whose work it judges."""
    stage = _stage(path)
    if stage in TOP:
        return
    allowed = set(GROUND) if stage == "check" else set(LINE[: LINE.index(stage) + 1])
    for name in _imports(path):
        assert name.split(".")[1] in allowed | {stage}, f"{_name(path)} imports {name}"


@pytest.mark.parametrize("path", [p for p in MODULES if _stage(p) == "tips"], ids=_name)
def test_a_tip_knows_only_geometry(path: Path) -> None:
    """Files, job and sheet come to the tips, never the other way."""
    assert {name.split(".")[1] for name in _imports(path)} <= {"core", "geometry", "tips"}


@pytest.mark.parametrize(
    "path", [p for p in MODULES if _stage(p) == "check" or p.stem.startswith("read")], ids=_name
)
def test_what_reads_knows_nothing_of_what_writes(path: Path) -> None:
    """So that a reader can't repeat a writer's mistake."""
    for name in _imports(path):
        leaf = name.split(".")[-1]
        assert not leaf.startswith("write"), f"{_name(path)} imports {name}"
        # Mats are parted among sheets by the writer of pages.
        assert name != "cutfiles.formats.paper.tiles", f"{_name(path)} imports {name}"


def test_the_search_knows_nothing_of_who_asks_it() -> None:
    """It sees what it measures and counts with: no fabrics to share out, no loads, no repeats to buy."""
    inside = [p for p in MODULES if PACKAGE / "nest/search" in p.parents]
    assert len(inside) > 20
    for path in inside:
        of_nest = {name.split(".")[2] for name in _imports(path) if name.startswith("cutfiles.nest.")}
        assert of_nest <= {"base", "cutting_rules", "search"}, _name(path)


def test_imports_run_in_no_circle() -> None:
    """Module by module, also where an import hides in a function."""
    _assert_no_circle({_name(path): _imports(path) for path in MODULES})


def test_folders_import_in_no_circle() -> None:
    """Each folder, at any depth, is one subject: what it needs doesn't need it."""
    graph: Mapping[str, Set[str]] = {}
    for path in MODULES:
        graph.setdefault(_folder(_name(path)), set()).update(_folder(name) for name in _imports(path))
    del graph["cutfiles"]  # the pipeline and `python -m cutfiles` stand above all
    _assert_no_circle(graph)


@pytest.mark.parametrize(
    "path", [p for p in MODULES if p.name == "__init__.py" and p.parent != PACKAGE], ids=_name
)
def test_a_folder_says_what_it_is_for(path: Path) -> None:
    """In the first words of its `__init__.py`."""
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


def test_every_module_imports_alone() -> None:
    """With nothing of ours loaded but what it imports itself, so that none leans on another's import."""
    needs = {_name(path): set(_imports(path, late=False)) for path in MODULES}
    for name in NAMES - {"cutfiles"}:
        needs[name].add(name.rpartition(".")[0])
    needs["cutfiles"] = set()  # what it imports at its top is for who checks types
    names = [name for name in TopologicalSorter(needs).static_order() if name in NAMES]
    run = subprocess.run(
        [sys.executable, "-m", "tests.imported_alone", *names],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert run.returncode == 0, run.stderr


@pytest.mark.parametrize("module", ["cutfiles.cli.main", "cutfiles.cli.size", "cutfiles.pipeline"])
def test_nothing_heavy_loads_before_it_is_needed(module: str) -> None:
    """`--help` and `size` start in a blink."""
    code = f"import {module}, sys; print(sorted(set(sys.modules) & set({HEAVY!r})))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert run.stdout.strip() == "[]"


def _types(path: Path) -> Iterator[tuple[str, str]]:
    """Yield the classes and type aliases of a module: a name, and what it stands for."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ClassDef):
            yield node.name, f"class in {_name(path)}"
        elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name = node.targets[0].id
            if re.fullmatch(r"_?[A-Z][a-z]\w*", name):
                yield name, ast.unparse(node.value)


def test_a_type_has_a_name_of_its_own() -> None:
    """Who looks for `Strip` finds one thing; arrays are called by what is in them, whatever their shape."""
    meanings: dict[str, set[str]] = {}
    for path in MODULES:
        for name, meaning in _types(path):
            if not meaning.startswith("np.ndarray["):
                meanings.setdefault(name.removeprefix("_"), set()).add(meaning)
    assert {name: found for name, found in meanings.items() if len(found) > 1} == {}
