"""`cutfiles buy`: what must be bought for a job, with no files."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.cli.naming import naming
from cutfiles.cli.nesting import bar, stopped_by_ctrl_c, time_option
from cutfiles.cli.texts.buy_text import buy_text
from cutfiles.core.errors import UnmetError
from cutfiles.pipeline import Options
from cutfiles.pipeline import buy as buy_for
from cutfiles.pipeline import size as size_of


@click.command(short_help="Show what to buy for JOB: pieces, packs and lengths as they are sold.")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object, lengths in mm.")
@time_option("Stop searching after this; amounts found in a hurry say so.")
def buy(job: Path, *, as_json: bool, time_s: float | None) -> None:
    """Show what to buy of the fabrics of JOB whose length or pieces are "as needed", and what else is short.

    Nothing is written. Exit status 2 where fabrics that are there give too little: a line for each.
    """
    with naming(job):
        sized = size_of(job)
        with bar() as progress:
            shopping_list = buy_for(sized, Options(None, time_s, progress, stopped_by_ctrl_c))
    click.echo(json.dumps(shopping_list.json(), indent=1) if as_json else buy_text(shopping_list, sized.job))
    if shopping_list.shortages:
        with naming(job):
            raise UnmetError("\n".join(shopping_list.shortages))
