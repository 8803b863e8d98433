"""The command line: which commands there are, and how an error becomes one line and an exit status."""

from __future__ import annotations

import importlib
import os
import sys

import click

from cutfiles import __version__
from cutfiles.cli.collector import collect_seldom
from cutfiles.core.errors import CutfilesError

# What the list of commands says of each; a test holds it to the commands' own words.
_COMMANDS = {
    "new": "Write a starter job into FILE, with notes on what to change.",
    "size": "Show what the plate of JOB measures and how many pieces it needs.",
    "fit": "Show how many plates the fabrics of JOB give, and how long blades could be.",
    "buy": "Show what to buy for JOB: pieces, packs and lengths as they are sold.",
    "make": "Nest the pieces of JOB and write machine files and job sheet.",
    "page": "Open a page in the browser to plan a plate, lay it out and take the files away.",
    "check": "Read machine files back and report faults.",
}
_INTERRUPTED = 130  # 128 + SIGINT, as shells report it


class _OneFileEach(click.Group):
    """Commands live in modules of their own, loaded when they are named; the list of them loads none."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = getattr(importlib.import_module(f"cutfiles.cli.{cmd_name}"), cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


_EXAMPLES = """\b
cutfiles new plate.toml              a starter job, with notes on what to change
cutfiles size plate.toml             what the plate measures and needs
cutfiles fit plate.toml              how many plates the fabrics give
cutfiles buy plate.toml              what to buy, as it is sold
cutfiles make plate.toml --out cut   machine files, layout and job sheet
cutfiles page                        the same by hand and eye, in a browser
cutfiles check cut                   reads them back and reports faults
"""


@click.command(cls=_OneFileEach, epilog=_EXAMPLES, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="%(prog)s %(version)s")
def cutfiles() -> None:
    """From a plate block, its fabrics and a mat to nested machine files at true size."""


def run() -> None:
    """Run the command line and leave with its exit status."""
    collect_seldom()
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a sign shows a question mark, not a traceback.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")
    sys.exit(_status())


def _status() -> int:
    try:
        status = cutfiles.main(prog_name="cutfiles", standalone_mode=False)
        sys.stdout.flush()
    except CutfilesError as error:
        # One line, or one for each thing that is short.
        for line in str(error).splitlines():
            _say(f"{error.file}: {line}" if error.file else line)
        return error.exit_status
    except click.ClickException as error:
        context = getattr(error, "ctx", None)
        path = context.command_path if context else "cutfiles"
        # click's own words may run over lines: the contract is one.
        _say(f"{path}: {' '.join(error.format_message().split())} See {path} --help.")
        return 2
    except (click.Abort, KeyboardInterrupt):
        _say("stopped; no file is half written")
        return _INTERRUPTED
    except BrokenPipeError:
        # The reader of our output has closed it; a second complaint at exit would be noise.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status if isinstance(status, int) else 0


def _say(line: str) -> None:
    click.echo(line, err=True)
