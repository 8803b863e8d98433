"""Files that are too large, too many or too deep: seconds and memory, `python -m tests.bench.bench_large`.

Each is checked in a process of its own: none may hang, none may take memory without measure, and each ends in
findings or in one clear word.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

Chunks = Iterator[str]
_SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="9000mm" height="9000mm" viewBox="0 0 9000 9000">'
_DXF = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\n"
_END = "0\nENDSEC\n0\nEOF\n"
MILLION = 1_000_000


def _at(number: int) -> tuple[int, int]:
    return number % 3000, number // 3000


def svg_strokes(layer: str, count: int) -> Chunks:
    """Yield an SVG of short lines."""
    yield f'{_SVG}<g id="{layer}">'
    for number in range(count):
        x, y = _at(number)
        yield f'<line x1="{x}" y1="{y}" x2="{x}.5" y2="{y}.5"/>\n'
    yield "</g></svg>"


def dxf_strokes(layer: str, count: int) -> Chunks:
    """Yield a DXF of short lines."""
    yield f"{_DXF}ENTITIES\n"
    for number in range(count):
        x, y = _at(number)
        yield f"0\nLINE\n8\n{layer}\n10\n{x}\n20\n{y}\n11\n{x}.5\n21\n{y}.5\n"
    yield _END


def plt_strokes(layer: str, count: int) -> Chunks:
    """Yield an HP-GL of short lines."""
    yield f"IN;DF;PA;SP{'1' if layer == 'draw' else '2'};"
    for number in range(count):
        x, y = _at(number)
        yield f"PU{40 * x},{40 * y};PD{40 * x + 20},{40 * y + 20};\n"
    yield "PU;SP0;"


def _squares(count: int) -> Chunks:
    yield f'{_SVG}<g id="cut">'
    for number in range(count):
        x, y = _at(number)
        yield f'<polygon points="{x},{y} {x}.5,{y} {x}.5,{y}.5 {x},{y}.5"/>\n'
    yield "</g></svg>"


def _long_path(count: int) -> Chunks:
    yield f'{_SVG}<g id="cut"><path d="M0 0'
    for number in range(count):
        yield f"L{number % 8999} {number % 7919}"
    yield 'Z"/></g></svg>'


def _one_polyline(count: int) -> Chunks:
    yield f"{_DXF}ENTITIES\n0\nLWPOLYLINE\n8\nCUT\n70\n1\n"
    for number in range(count):
        yield f"10\n{number % 8999}\n20\n{number % 7919}\n"
    yield _END


def _deep_groups(count: int) -> Chunks:
    yield _SVG + '<g id="cut">' * count + "</g>" * count + "</svg>"


def _block_bomb(_count: int) -> Chunks:
    yield f"{_DXF}BLOCKS\n"
    for level in range(15):
        yield f"0\nBLOCK\n2\nB{level}\n10\n0\n20\n0\n"
        yield "0\nLINE\n8\nCUT\n11\n9\n" + f"0\nINSERT\n2\nB{level + 1}\n" * 10 + "0\nENDBLK\n"
    yield f"0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nCUT\n2\nB0\n{_END}"


def _rubbish(count: int) -> Chunks:
    yield "IN;SP1;"
    for _ in range(count):
        yield "#;;;;;;;;;"


CASES: dict[str, tuple[str, Callable[[], Chunks]]] = {
    "a million strokes, drawn": ("svg", lambda: svg_strokes("draw", MILLION)),
    "a million lines, drawn": ("dxf", lambda: dxf_strokes("DRAW", MILLION)),
    "a million strokes, by pen 1": ("plt", lambda: plt_strokes("draw", MILLION)),
    "a million strokes, cut": ("svg", lambda: svg_strokes("cut", MILLION)),
    "a million lines, cut": ("dxf", lambda: dxf_strokes("CUT", MILLION)),
    "a million strokes, by pen 2": ("plt", lambda: plt_strokes("cut", MILLION)),
    "a hundred thousand squares": ("svg", lambda: _squares(100_000)),
    "a path of a million corners": ("svg", lambda: _long_path(MILLION)),
    "a polyline of a million corners": ("dxf", lambda: _one_polyline(MILLION)),
    "199 MB of strokes": ("svg", lambda: svg_strokes("draw", 3_950_000)),
    "199 MB of lines": ("dxf", lambda: dxf_strokes("DRAW", 4_050_000)),
    "groups a million deep": ("svg", lambda: _deep_groups(MILLION)),
    "blocks in blocks": ("dxf", lambda: _block_bomb(0)),
    "ten million empty groups": ("svg", lambda: iter([_SVG, "<g/>" * 10_000_000, "</svg>"])),
    "ten million entities of nothing": ("dxf", lambda: iter(["0\n" * 20_000_000])),
    "ten million times pen up": ("plt", lambda: iter(["PU;" * 10_000_000])),
    "rubbish": ("plt", lambda: _rubbish(MILLION)),
}


def main() -> None:
    """Print a line for each case."""
    for name, (suffix, chunks) in CASES.items():
        if sys.argv[1:] and not any(word in name for word in sys.argv[1:]):
            continue
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"large.{suffix}"
            with path.open("w") as file:
                file.writelines(chunks())
            before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
            words = [sys.executable, "-c", _MEASURED, str(path)]
            found = subprocess.run(words, capture_output=True, text=True, check=False)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            *findings, peak = found.stdout.splitlines() or ["?"]
            says = findings[-2] if len(findings) > 1 else findings[-1] if findings else found.stderr[-300:]
            says = says.replace(f"{path}: ", "")[:90]
            size = path.stat().st_size / 1e6
            print(f"{name:34} {size:4.0f} MB {spent:6.1f} s {peak:>8}  {says}", flush=True)
            if time.perf_counter() - start > 300:
                print("  slower than it may be")


_MEASURED = """
import resource, sys
from pathlib import Path
from cutfiles.check.check import check_paths
report = check_paths([Path(sys.argv[1])])
for finding in report.findings[-3:]:
    print(finding.line())
print(report.summary())
print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")
"""


if __name__ == "__main__":
    main()
