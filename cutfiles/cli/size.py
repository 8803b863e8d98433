"""`cutfiles size`: measurements and needs, with no nesting."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.cli.naming import naming
from cutfiles.cli.sizes_text import sizes_text
from cutfiles.pipeline import size as size_of


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object, lengths in mm.")
def size(job: Path, as_json: bool) -> None:
    """Show what the plate of JOB measures and how many pieces it needs."""
    with naming(job):
        sized = size_of(job)
    for note in sized.notes:
        click.echo(f"note: {note}", err=True)
    click.echo(json.dumps(sized.json(), indent=1) if as_json else sizes_text(sized))
