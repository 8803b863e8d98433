"""`cutfiles make`: nests and writes everything."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from cutfiles.cli.made_text import made_text
from cutfiles.cli.naming import naming
from cutfiles.job.read import output_formats
from cutfiles.pipeline import Progress, Wish, save
from cutfiles.pipeline import make as make_all
from cutfiles.pipeline import size as size_of


@click.command(short_help="Nest the pieces of JOB and write machine files and job sheet.")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), help="Folder for the files.")
@click.option("--files", "formats", metavar="FORMATS", help="Formats, such as svg,dxf; else the job's own.")
@click.option(
    "--time",
    "time_s",
    metavar="SECONDS",
    type=click.FloatRange(min=0, min_open=True),
    help="Search no longer than this.",
)
@click.option("--json", "as_json", is_flag=True, help="The layout as one JSON object.")
def make(job: Path, *, out: Path, formats: str | None, time_s: float | None, as_json: bool) -> None:
    """Nest the pieces of JOB on its fabrics and mats, and write machine files and job sheet into a folder.

    Files of an earlier run are replaced; a file that cutfiles did not write is never touched.
    """
    wanted = output_formats(formats) if formats is not None else None
    with naming(job):
        sized = size_of(job)
        with _progress() as progress:
            made = make_all(sized, Wish(wanted, time_s, progress))
    save(out, made)
    for note in made.notes:
        click.echo(f"note: {note}", err=True)
    click.echo(json.dumps(made.layout, indent=1) if as_json else made_text(made, out, sized.job.unit))


def _name(fabric: str | None) -> str:
    return fabric or ""


@contextmanager
def _progress() -> Iterator[Progress | None]:
    """A bar on a terminal; nothing in a pipe."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=1, file=sys.stderr, item_show_func=_name, show_eta=False) as bar:
        bar.label = "nesting"

        def report(what: str, done: int, total: int) -> None:
            bar.length = max(total, 1)
            bar.update(done - bar.pos, what)

        yield report
