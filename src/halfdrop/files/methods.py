"""Methods: those that are shipped, and those a person wrote; and the blocks their workings are made of."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.core.titration.blocks import Block, read_blocks
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.method_check import check_method
from halfdrop.files.fields import known
from halfdrop.files.method_text import MethodText, method_from
from halfdrop.files.numbers import shown
from halfdrop.files.text_files import refusal, refuses
from halfdrop.files.toml_text import parse_toml, read_toml

ENDING = ".toml"
TITRANT = "titrant"

Read = tuple[Method | None, tuple[Finding, ...]]


@dataclass(frozen=True)
class Keeping:
    """How long a titrant may be trusted after it was standardised, and who says so."""

    days: int
    source: str


@lru_cache(maxsize=1)
def shipped_blocks() -> Mapping[str, Block]:
    """Return the blocks that workings are made of."""
    return read_blocks(tomllib.loads((_data() / "blocks.toml").read_text(encoding="utf-8")))


def _data() -> Traversable:
    return resources.files("halfdrop") / "data"


@lru_cache(maxsize=1)
def shipped_method_names() -> tuple[str, ...]:
    """Return the names of the methods that are shipped, in order."""
    names = (entry.name for entry in (_data() / "methods").iterdir())
    return tuple(sorted(name.removesuffix(ENDING) for name in names if name.endswith(ENDING)))


def read_method(name: str | Path, beside: Path | None = None, place: Place | None = None) -> Read:
    """Read a method. A person's own is checked whole; the shipped ones are checked by the project's tests.

    Args:
        name: the name of a shipped method, or the path of a method file, which ends in ``.toml``.
        beside: the folder that a path starts from; the working directory when not given.
        place: where the method is named, for the finding that there is none of that name.

    Returns:
        The method, or None when it cannot be used; and everything noticed.
    """
    text = str(name)
    if text in shipped_method_names():
        shipped = _shipped_text(text)
        return shipped.method, shipped.findings
    if not text.endswith(ENDING):
        return None, (_no_such_method(text, place or Place()),)
    path = Path(text) if beside is None else beside / text
    toml, findings = read_toml(path)
    return (None, tuple(findings)) if toml is None else _checked(method_from(toml, path.stem))


def _shipped_source(name: str) -> str:
    return (_data() / "methods" / f"{name}{ENDING}").read_text(encoding="utf-8")


@lru_cache(maxsize=64)
def _shipped_text(name: str) -> MethodText:
    toml, findings = parse_toml(_shipped_source(name).encode(), f"methods/{name}{ENDING}")
    return MethodText(None, tuple(findings), {}) if toml is None else method_from(toml, name)


def _checked(text: MethodText) -> Read:
    """Check the chemistry and the working of a method, and put the findings where they belong."""
    if text.method is None:
        return None, text.findings
    found = [_placed(finding, text.places) for finding in check_method(text.method, shipped_blocks())]
    return (None if refuses(found) else text.method), (*text.findings, *found)


def _placed(finding: Finding, places: Mapping[str, Place]) -> Finding:
    words = finding.place.field
    near = next((places[start] for start in _starts(words) if start in places), Place())
    if not near.file and places:
        near = replace(next(iter(places.values())), line=0)
    return finding.at(Place(near.file, near.line, words))


def _starts(words: str) -> list[str]:
    """Return ``a, b, c``, ``a, b`` and ``a``."""
    parts = words.split(", ")
    return [", ".join(parts[:length]) for length in range(len(parts), 0, -1)]


def _no_such_method(text: str, place: Place) -> Finding:
    names = shipped_method_names()
    message = (
        f"There is no method {shown(text)}. {known(text, names)} A method of your own is a file: name.toml."
    )
    return refusal("method-unknown", message, place, text, list(names))


@lru_cache(maxsize=128)
def keeping_time(species: str) -> Keeping | None:
    """Return how long a standardised solution of a substance is trusted, from the shipped methods.

    Args:
        species: formula of the titrant; a method that standardises it is asked before one that only uses it.
    """
    named = [name for name in shipped_method_names() if f'"{species}"' in _shipped_source(name)]
    methods = [text.method for text in map(_shipped_text, named) if text.method is not None]
    keep = [method for method in methods if method.keeps_days is not None]
    standardise = [
        method for method in keep if TITRANT not in method.quantities and method.analyte == species
    ]
    use = [
        method
        for method in keep
        if TITRANT in method.quantities and method.quantities[TITRANT].species == species
    ]
    for method in (*standardise, *use):
        return Keeping(method.keeps_days or 0, method.keeps_source)
    return None
