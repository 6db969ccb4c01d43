"""The version is the same wherever it is written."""

from __future__ import annotations

import re
import tomllib

import halfdrop
from tests.house.tree import ROOT


def test_the_version_agrees_in_package_metadata_and_changelog() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    newest = re.search(
        r"^## (\d+\.\d+\.\d+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE
    )

    assert newest is not None
    assert halfdrop.__version__ == project["version"] == newest[1]


def test_numbers_that_change_come_first_in_every_release() -> None:
    changelog = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    for release in re.split(r"^## ", changelog, flags=re.MULTILINE)[1:]:
        assert re.findall(r"^### (.+)$", release, re.MULTILINE)[:1] == ["Numbers that change"], (
            release.splitlines()[0]
        )
