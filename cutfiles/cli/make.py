"""`cutfiles make`: nests and writes everything."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.cli.naming import naming
from cutfiles.cli.nesting import bar, stopped_by_ctrl_c, time_option
from cutfiles.cli.texts.made_text import made_text
from cutfiles.job.parse.read import output_formats
from cutfiles.nest.rough_cuts import piece_cuts
from cutfiles.pipeline import Options, save
from cutfiles.pipeline import make as make_all
from cutfiles.pipeline import size as size_of
from cutfiles.shopping.shopping_list import shopping_list


@click.command(short_help="Nest the pieces of JOB and write machine files and job sheet.")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), help="Folder for the files.")
@click.option("--files", "formats", metavar="FORMATS", help="Formats, such as svg,dxf; else the job's own.")
@time_option("Stop searching after this; where there is time left, search on.")
@click.option("--calibrate", is_flag=True, help="Also write a sheet to measure the machine by.")
@click.option("--details", is_flag=True, help="Also say how few loads there can be, and how tools travel.")
@click.option("--json", "as_json", is_flag=True, help="The layout as one JSON object.")
def make(
    job: Path,
    *,
    out: Path,
    formats: str | None,
    time_s: float | None,
    calibrate: bool,
    details: bool,
    as_json: bool,
) -> None:
    """Nest the pieces of JOB on its fabrics and mats, and write machine files and job sheet into a folder.

    Files of an earlier run are replaced; a file that cutfiles did not write is never touched.

    Ctrl-C ends the search: the best layout so far is written if it gives all that the job asks. A second
    Ctrl-C stops at once.
    """
    wanted = output_formats(formats) if formats is not None else None
    with naming(job):
        sized = size_of(job)
        with bar() as progress:
            made = make_all(sized, Options(wanted, time_s, progress, stopped_by_ctrl_c, calibrate))
    save(out, made)
    for note in made.notes:
        click.echo(f"note: {note}", err=True)
    if as_json:
        click.echo(json.dumps(made.layout, indent=1))
        return
    shopping = shopping_list(sized.job, made.nested.tallies)
    cuts = piece_cuts(sized.job, made.nested)
    click.echo(made_text(made, out, sized.job.unit, shopping, cuts=cuts, details=details))
