"""One level read by five people, one of them the other way round."""

from __future__ import annotations

from statistics import fmean

from halfdrop.core.glassware.mirror import mirror_edits
from halfdrop.core.glassware.readings import Reading
from tests.core.glassware.pages import FIFTY
from tests.published.row import Row, Source

STUDENTS = ("20.73", "20.72", "20.74", "20.76")
DEMONSTRATOR = "21.27"


def mirrored() -> float:
    """Return the demonstrator's level, if it was counted upwards from the numbered line below it."""
    return float(mirror_edits(Reading(DEMONSTRATOR), FIFTY)[0].would_be_ml)


SOURCE = Source(
    title="Students read the liquid level of a burette (teaching question on accuracy and precision)",
    where="smartsolve.ai, question 1; the published answer calls the students precise and not accurate",
    rows=(
        Row(
            place="first student",
            what="mirror image of the demonstrator's 21.27 mL, mL",
            printed=STUDENTS[0],
            compute=mirrored,
            function="halfdrop.core.glassware.mirror.mirror_edits",
        ),
        Row(
            place="last student",
            what="mean of the students against the mirror image, mL",
            printed=STUDENTS[2],
            compute=lambda: fmean(Reading(text).value_ml for text in STUDENTS),
            function="halfdrop.core.glassware.readings.Reading",
            note="the gap to the demonstrator is a way of reading, which the published answer misses",
        ),
    ),
)
