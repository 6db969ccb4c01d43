"""The forms that come along: files filled in with invented numbers, to be written over."""

from __future__ import annotations

from importlib import resources

SHELF, CALIBRATION = "shelf.toml", "calibration.toml"


def form_text(name: str) -> str:
    """Return the text of a form."""
    return (resources.files("halfdrop") / "data" / "forms" / name).read_text(encoding="utf-8")
