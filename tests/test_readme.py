"""What the README shows is what the program says, and its commands are the ones that are run."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from cutfiles.job.model.needs import check_supply
from cutfiles.job.parse.read import parse_job
from tests.cli.commands import DEMO, ROOT, cutfiles
from tests.texts import code_blocks

README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_sizes_shown_are_those_of_the_demo() -> None:
    """To the letter."""
    assert code_blocks(README, "text")[0] == cutfiles("size", DEMO).stdout


def test_the_job_shown_is_a_job() -> None:
    """It can be pasted as it is, and its fabrics are told to give all that it needs."""
    check_supply(parse_job(code_blocks(README, "toml")[0]))


def test_the_two_commands_are_one_line_each() -> None:
    """The first makes and checks the demo, the second is what CI runs."""
    demo, tests = code_blocks(README, "sh")[:2]
    assert demo.count("\n") == tests.count("\n") == 1
    assert str(DEMO.relative_to(ROOT)) in demo
    assert tests.startswith("python3 -m venv ")
    assert "pytest" in tests


def test_every_link_leads_somewhere() -> None:
    """In all pages."""
    for page in [*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")]:
        for link in re.findall(r"\]\((?!https?://)([^)#]+)", page.read_text(encoding="utf-8")):
            assert (page.parent / link).exists(), f"{page.name}: {link}"


def test_the_documented_commands_exist() -> None:
    """Every `cutfiles …` that a page shows is a command."""
    for page in [*ROOT.glob("*.md"), *ROOT.glob("docs/*.md")]:
        text = page.read_text(encoding="utf-8")
        for word in set(re.findall(r"(?:^|`|bin/)cutfiles ([a-z]+) ", text, flags=re.MULTILINE)):
            assert cutfiles(word, "--help").returncode == 0, f"{page.name}: {word}"


def test_the_package_needs_what_the_decision_lists() -> None:
    """A dependency without a reason is not one."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    reasons = Path(ROOT / "docs/decisions/0002-dependencies.md").read_text(encoding="utf-8")
    for need in (*project["dependencies"], *project["optional-dependencies"]["dev"]):
        name = re.split(r"[>=<]", need)[0]
        assert name.lower() in reasons.lower(), name
