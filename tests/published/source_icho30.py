"""A titration record: the worked example of the 30th International Chemistry Olympiad."""

from __future__ import annotations

from halfdrop.core.measure.statistics import average_deviation, mean, relative_average_deviation_ppt
from tests.published.row import Row, Source

READINGS = (("0.90", "28.55"), ("0.80", "28.45"), ("3.00", "30.80"))
TITRES_ML = [float(final) - float(initial) for initial, final in READINGS]
PLACE = "Laboratory Task 1, permanganate titration"
MODULE = "halfdrop.core.measure.statistics"


def _relative_percent() -> float:
    return float(relative_average_deviation_ppt(TITRES_ML)) / 10


SOURCE = Source(
    title="30th International Chemistry Olympiad, Melbourne 1998, Laboratory Examination: Example Results",
    where="official version, pages 2-3 (123dok.org, document z1d5ov0e)",
    rows=(
        Row(PLACE, "average titre, mL", "27.70", lambda: float(mean(TITRES_ML)), f"{MODULE}.mean"),
        Row(
            PLACE,
            "average deviation, mL",
            "0.07",
            lambda: float(average_deviation(TITRES_ML)),
            f"{MODULE}.average_deviation",
        ),
        Row(
            PLACE,
            "relative average deviation, %",
            "0.25",
            _relative_percent,
            f"{MODULE}.relative_average_deviation_ppt",
            right="0.24",
            note="printed from the rounded 0.07 mL; 0.0667 mL in 27.70 mL is 0.241 %",
        ),
    ),
)
