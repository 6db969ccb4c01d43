"""Every pictogram is a drawing in the frame that the regulation asks for."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from halfdrop.core.solutions.labelling import Pictogram
from halfdrop.reports.labels import square_code
from halfdrop.reports.pictograms import pictogram_svg

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("pictogram", list(Pictogram), ids=lambda one: one.words)
def test_a_pictogram_is_a_black_symbol_in_a_red_square_on_its_point(pictogram: Pictogram) -> None:
    whole = ET.fromstring(pictogram_svg(pictogram))  # noqa: S314 - our own file
    assert whole.get("aria-label") == pictogram.words
    frame, symbol = list(whole)
    assert frame.get("stroke") == "#d4001a"
    assert frame.get("d") == "M50 3.5 L96.5 50 L50 96.5 L3.5 50 Z"
    assert symbol.get("fill") == "#000"
    assert len(list(symbol.iter())) > 1


def test_a_square_code_differs_with_its_text() -> None:
    one, other = square_code("halfdrop solution 1"), square_code("halfdrop solution 2")
    assert one != other
    assert ET.fromstring(one).tag == f"{SVG}svg"  # noqa: S314
