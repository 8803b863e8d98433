"""`cutfiles check`: read machine files back and say what is wrong with them."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.formats.registry import titles

_HELP = f"""Read machine files back and report faults.

PATH is a file ({", ".join(titles())}), or a folder that `make` wrote. A file is checked against the
layout.json beside it, if that names it. The exit status is 1 if there are faults.
"""


@click.command(help=_HELP)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
def check(paths: tuple[Path, ...], as_json: bool) -> None:
    """Print a report on machine files."""
    # The geometry library takes its time to load; `--help` needn't wait for it.
    from cutfiles.check.check import check_paths  # noqa: PLC0415

    report = check_paths(paths)
    for note in report.notes:
        click.echo(f"note: {note}", err=True)
    if as_json:
        click.echo(json.dumps(report.json(), indent=1, ensure_ascii=False))
    else:
        for finding in report.findings:
            click.echo(finding.line())
        click.echo(report.summary())
    if report.findings:
        click.get_current_context().exit(1)
