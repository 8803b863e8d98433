"""What `cutfiles --help` says, and what it loads."""

from __future__ import annotations

import subprocess
import sys

import click

from cutfiles.cli.main import cutfiles


def test_the_list_of_commands_says_what_each_command_says_of_itself() -> None:
    """The list is written without loading the commands; their own short help is the same."""
    with click.Context(cutfiles) as context:
        listed = " ".join(cutfiles.get_help(context).split("Commands:")[1].split())
        names = cutfiles.list_commands(context)
        commands = {name: cutfiles.get_command(context, name) for name in names}
    for name, command in commands.items():
        assert command is not None
        assert f"{name} {command.get_short_help_str(limit=200)}" in listed


def test_help_loads_none_of_the_line() -> None:
    """Neither the pipeline nor a job's model is imported to print the list of commands."""
    script = """
import sys
from cutfiles.cli.main import cutfiles
cutfiles.main(["--help"], standalone_mode=False)
loaded = [name for name in sys.modules if name.startswith(("cutfiles.job", "cutfiles.pipeline"))]
print(loaded)
"""
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"
