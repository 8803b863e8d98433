"""`cutfiles new`: a starter job."""

from __future__ import annotations

from pathlib import Path

import click

from cutfiles.core.errors import DiskError
from cutfiles.core.units import Unit
from cutfiles.job.starter import starter


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--unit",
    type=click.Choice([unit.value for unit in Unit]),
    default=Unit.IN.value,
    show_default=True,
    help="What its numbers mean; the sizes are such as are usual in it.",
)
def new(file: Path, unit: str) -> None:
    """Write a starter job into FILE, with notes on what to change. FILE must not exist yet."""
    try:
        with file.open("x", encoding="utf-8", newline="\n") as opened:
            opened.write(starter(Unit(unit)))
    except FileExistsError:
        raise DiskError(f"{file}: is there already; choose another name or move it away") from None
    except OSError as error:
        raise DiskError(f"{file}: can't be written ({error.strerror}); choose another place") from None
    click.echo(f"{file} is written; see its sizes with: cutfiles size {file}")
