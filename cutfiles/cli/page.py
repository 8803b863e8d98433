"""`cutfiles page`: plan a plate, lay it out and take its files away, in a browser on this computer."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path

import click

from cutfiles.cli.naming import naming


@click.command()
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option("--port", type=click.IntRange(1, 65535), help="Where it is served; else any that is free.")
@click.option("--no-browser", is_flag=True, help="Print the address alone; open no browser.")
def page(job: Path | None, *, port: int | None, no_browser: bool) -> None:
    """Open a page in the browser to plan a plate, lay it out and take the files away.

    With JOB it begins with that job file, and can save to it. The page is served to this computer alone, at
    the address that is printed. Ctrl-C closes it.
    """
    from cutfiles.page.server.serve import serve  # noqa: PLC0415

    def say(address: str) -> None:
        click.echo(address)
        click.echo("Open this address in a browser on this computer. Ctrl-C here closes the page.", err=True)

    try:
        with naming(job) if job else nullcontext():
            serve(job, port=port, browser=not no_browser, say=say)
    except KeyboardInterrupt:
        click.echo("The page is closed.", err=True)
