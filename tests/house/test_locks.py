"""The lock files say exactly what is installed, agree with each other, and name no place to fetch it from."""

from __future__ import annotations

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.house.tree import ROOT

LOCKS = ("runtime", "build", "dev")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def locked(name: str) -> dict[str, set[str]]:
    """Return the pinned lines of a lock, by package: one package may be pinned once for each Python."""
    pins: dict[str, set[str]] = {}
    for line in (ROOT / f"requirements/{name}.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith(("#", " ")):
            pin = line.removesuffix("\\").strip()
            pins.setdefault(canonicalize_name(Requirement(pin).name), set()).add(pin)
    return pins


def asked_for(name: str) -> list[str]:
    """Return the requirements that a lock was made for."""
    runtime: list[str] = PROJECT["project"]["dependencies"]
    build: list[str] = PROJECT["build-system"]["requires"]
    dev: list[str] = PROJECT["project"]["optional-dependencies"]["dev"]
    return {"runtime": runtime, "build": build, "dev": [*runtime, *build, *dev]}[name]


@pytest.mark.parametrize("name", LOCKS)
def test_every_pin_has_a_hash_and_nothing_says_where_to_fetch_it(name: str) -> None:
    text = (ROOT / f"requirements/{name}.txt").read_text(encoding="utf-8")
    entries = re.split(r"^(?=\S)", text, flags=re.MULTILINE)
    unhashed = [
        entry
        for entry in entries
        if entry.strip() and not entry.startswith("#") and "--hash=sha256:" not in entry
    ]

    assert unhashed == []
    assert "://" not in text
    assert not re.search(r"^\s*-(?!-hash=)", text, re.MULTILINE)


@pytest.mark.parametrize("name", LOCKS)
def test_a_lock_holds_an_allowed_version_of_all_that_is_asked_for(name: str) -> None:
    pins = locked(name)
    for wanted in map(Requirement, asked_for(name)):
        found = pins.get(canonicalize_name(wanted.name), set())
        versions = [next(iter(Requirement(pin).specifier)).version for pin in found]
        assert versions, f"{wanted} is not in requirements/{name}.txt; run `make lock`"
        assert all(wanted.specifier.contains(version) for version in versions), f"{wanted}: {versions}"


@pytest.mark.parametrize("name", ["runtime", "build"])
def test_the_tests_run_on_the_versions_that_people_run(name: str) -> None:
    everything = locked("dev")
    assert {package: pins for package, pins in locked(name).items() if everything.get(package) != pins} == {}


def test_what_the_build_asks_for_is_what_is_locked_for_it() -> None:
    lines = (ROOT / "requirements/build.in").read_text(encoding="utf-8").splitlines()
    written = {line for line in lines if line and not line.startswith("#")}
    assert {*PROJECT["build-system"]["requires"], "editables>=0.5"} == written
