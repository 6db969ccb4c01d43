"""The forms that come along, filled in with invented numbers, and the guide to the work."""

from __future__ import annotations

from importlib import resources

SHELF, CALIBRATION = "shelf.toml", "calibration.toml"


GUIDE_SECTIONS = {
    "inspect": "Inspect", "tip": "Clear the tip", "clean": "Clean", "rinse": "Rinse", "read": "Fill and read",
    "leak": "Leak", "delivery": "Delivery time", "tap": "Tap", "calibrate": "Calibrate", "balance": "Balance",
    "glass": "Broken glass",
}  # fmt: skip
"""Sections of the guide by the name that a reason for a verdict has for them."""


def guide_text() -> str:
    """Return the guide on looking after a burette."""
    return (resources.files("halfdrop") / "guide" / "burettes.md").read_text(encoding="utf-8")


def form_text(name: str) -> str:
    """Return the text of a form."""
    return (resources.files("halfdrop") / "data" / "forms" / name).read_text(encoding="utf-8")
