"""The pages of the project are whole: links lead somewhere, decisions are numbered, commands exist."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from halfdrop.cli.main import COMMANDS
from tests.house.tree import ROOT, documents, name_of

DECISIONS = sorted((ROOT / "docs/decisions").glob("*.md"))


@pytest.mark.parametrize("path", documents(), ids=name_of)
def test_a_link_within_the_project_leads_somewhere(path: Path) -> None:
    links = re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", path.read_text(encoding="utf-8"))
    assert [link for link in links if not (path.parent / link).exists()] == []


@pytest.mark.parametrize("path", documents(), ids=name_of)
def test_a_command_named_in_a_page_exists_or_is_marked_as_planned(path: Path) -> None:
    named = re.compile(r"(?:`|^ {4}|^|/)halfdrop ([a-z][a-z-]*)")
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if "planned" not in line.lower()]
    assert {name for line in lines for name in named.findall(line)} <= set(COMMANDS)


def test_decisions_are_numbered_without_gaps() -> None:
    assert [int(path.name[:4]) for path in DECISIONS] == list(range(1, len(DECISIONS) + 1))


@pytest.mark.parametrize("path", DECISIONS, ids=name_of)
def test_a_decision_says_why_what_and_at_what_cost(path: Path) -> None:
    headings = re.findall(r"^## (.+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
    assert headings == ["Why", "Decision", "What it costs"]
