"""`cutfiles size`: measurements and needs, with no nesting."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutfiles.cli.naming import naming
from cutfiles.cli.texts.sizes_text import sizes_text
from cutfiles.core.errors import DiskError
from cutfiles.formats.registry import format_of
from cutfiles.pipeline import Sized
from cutfiles.pipeline import size as size_of

_TITLE = b"A plate and its blade with their sizes"


def _svg(_: click.Context, __: click.Parameter, path: Path | None) -> Path | None:
    kind = None if path is None else format_of(path.name)
    if path is not None and (kind is None or kind.name != "svg"):
        raise click.BadParameter(f"'{path}' is no name for an SVG picture; let it end with .svg")
    return path


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object, lengths in mm.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path),
    callback=_svg,
    help="Also draw plate and blade with their measures, as SVG.",
)
def size(job: Path, as_json: bool, picture: Path | None) -> None:
    """Show what the plate of JOB measures and how many pieces it needs."""
    with naming(job):
        sized = size_of(job)
        if picture is not None:
            _draw(sized, picture)
    for note in sized.notes:
        click.echo(f"note: {note}", err=True)
    click.echo(json.dumps(sized.json(), indent=1) if as_json else sizes_text(sized))


def _draw(sized: Sized, path: Path) -> None:
    """Write the picture; a file that isn't an earlier one stays."""
    # It loads the library that writes XML, which plain `size` never needs.
    from cutfiles.sheet.pictures.blade import sizes_picture  # noqa: PLC0415

    text = sizes_picture(sized.plate, sized.job.unit)
    try:
        if path.exists() and _TITLE not in path.read_bytes()[:2000]:
            raise DiskError(f"{path} is there already and is no picture of ours; name another file")
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise DiskError(f"can't write {path}: {error.strerror}; name another file") from None
