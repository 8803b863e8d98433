"""`cutfiles fit`: what the fabrics of a job give, before anything is cut."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.cli.naming import naming
from cutfiles.cli.texts.fit_text import fit_text
from cutfiles.pipeline import fit as fit_job
from cutfiles.pipeline import size as size_of


@click.command(short_help="Show how many plates the fabrics of JOB give, and how long blades could be.")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object, lengths in mm.")
def fit(job: Path, as_json: bool) -> None:
    """Show how many whole plates the fabrics of JOB give, what is over, and how long the blades could be.

    Nothing is written. How many plates the job asks for matters for what is short and for the longest blade.
    """
    with naming(job):
        sized = size_of(job)
        plate_yield = fit_job(sized)
    click.echo(json.dumps(plate_yield.json(), indent=1) if as_json else fit_text(plate_yield, sized.job))
