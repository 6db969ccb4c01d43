"""Hazard pictograms, drawn for this project after the words of the regulation.

Regulation (EC) No 1272/2008, Annex V and Article 31: a black symbol on a white ground in a red frame, a
square set on a point. The symbols are described there in words; the drawings are our own.
"""

from __future__ import annotations

from importlib import resources

from halfdrop.core.solutions.labelling import Pictogram


def pictogram_svg(pictogram: Pictogram) -> str:
    """Return a pictogram as SVG, with its words for those who do not see it."""
    file = resources.files("halfdrop") / "data" / "pictograms" / f"{pictogram}.svg"
    return file.read_text(encoding="utf-8")
