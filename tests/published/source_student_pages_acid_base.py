"""Back titrations, a vinegar and an alkalinity, worked out on public pages by students and their helpers.

Not reviewed: numbers to reckon with, and specimens of what is cut off on the way.
"""

from __future__ import annotations

from halfdrop.core.titration.work import Worked
from tests.methods.written import plain, result, worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"
VINEGAR = "vinegar report, scribd.com/doc/53029812"
TABLET = "antacid tablet, gizmo.ai deck 3438867"
ANTACID = "antacid, assignmentexpert.com question 97184"
ASPIRIN = "aspirin, chemicalforums.com topic 23381"
ALKALINITY = "alkalinity report, scribd.com/document/393843593"


def _vinegar() -> Worked:
    return worked(
        "vinegar", plain(("0.0", "16.7")),
        titrant="0.0500", aliquot="25.0", flask="250", stock="10.0", density="1.05",
    )  # fmt: skip


def _tablet() -> Worked:
    # 0.05 mol of acid, made up to 100 mL
    return worked(
        "antacid-back-titration", [("0.0", "11.1", {"mass": "0.950"})],
        acid="1", excess="50.0", titrant="0.30", flask="100", aliquot="10.0", piece="0.950",
    )  # fmt: skip


def _antacid() -> Worked:
    return worked(
        "antacid-back-titration", [("0.00", "5.83", {"mass": "0.204"})],
        acid="0.0981", excess="25.0", titrant="0.104", piece="0.204",
    )  # fmt: skip


def _aspirin() -> Worked:
    return worked(
        "aspirin-back-titration", [("0.0", "10.5", {"mass": "0.5"})],
        base="0.5", excess="14.375", titrant="0.5", molar="180",
    )  # fmt: skip


def _alkalinity(symbol: str) -> float:
    """461 mg/L to phenolphthalein and 622 in all, as volumes at 10 mg/L for each mL."""
    acid = repr(2 * 10 / 1000 / 100.086 * 100)
    page = [("0.00", "46.10", {"second": "62.20"})]
    return result(worked("alkalinity", page, titrant=acid, aliquot="100"), symbol)


SOURCE = Source(
    title="Student reports and answered questions: vinegar, antacids, aspirin, alkalinity",
    where="scribd.com, gizmo.ai, assignmentexpert.com, chemicalforums.com; addresses at each row",
    rows=(
        Row(
            VINEGAR,
            "acetic acid after dilution, mol/L",
            "0.0334",
            lambda: float(_vinegar().evaluation.lines["c_CH3COOH"]),
            WORK_OUT,
        ),
        Row(
            VINEGAR,
            "acetic acid in the vinegar, mol/L",
            "0.835",
            lambda: result(_vinegar(), "c_(CH3COOH)"),
            WORK_OUT,
        ),
        Row(
            VINEGAR,
            "acetic acid in the vinegar, % by mass",
            "4.77",
            lambda: result(_vinegar(), "w_(CH3COOH)"),
            WORK_OUT,
            units=0.6,
            note="4.776 %, cut off.",
        ),
        Row(
            TABLET,
            "calcium carbonate in the tablet, g",
            "0.835",
            lambda: result(_tablet(), "m_(CaCO3,piece)"),
            WORK_OUT,
            units=0.8,
            note="Worked with 100 g/mol for calcium carbonate.",
        ),
        Row(
            TABLET,
            "calcium carbonate in the tablet, %",
            "87.9",
            lambda: result(_tablet(), "w_(CaCO3)"),
            WORK_OUT,
            units=0.9,
            note="Worked with 100 g/mol for calcium carbonate.",
        ),
        Row(
            ANTACID,
            "calcium carbonate, g",
            "0.0923",
            lambda: result(_antacid(), "m_(CaCO3,piece)"),
            WORK_OUT,
            right="0.0924",
            note="(2.4525 - 0.6063) mmol / 2 x 100.086 g/mol = 92.39 mg; the page rounded on the way.",
        ),
        Row(
            ANTACID,
            "calcium carbonate, %",
            "45.2",
            lambda: result(_antacid(), "w_(CaCO3)"),
            WORK_OUT,
            right="45.3",
            note="92.39 mg / 204 mg = 45.29 %; the page rounded on the way.",
        ),
        Row(
            ASPIRIN,
            "acetylsalicylic acid, g",
            "0.174375",
            lambda: float(_aspirin().evaluation.lines["m_aspirin"][0]),
            WORK_OUT,
        ),
        Row(
            ASPIRIN,
            "acetylsalicylic acid, %",
            "34.87",
            lambda: _aspirin().value,
            WORK_OUT,
            units=0.6,
            note="34.875 % exactly, cut off.",
        ),
        Row(
            ALKALINITY,
            "hydroxide as calcium carbonate, mg/L",
            "300",
            lambda: _alkalinity("gamma_(OH)"),
            WORK_OUT,
        ),
        Row(
            ALKALINITY,
            "carbonate as calcium carbonate, mg/L",
            "322",
            lambda: _alkalinity("gamma_(CO3)"),
            WORK_OUT,
        ),
    ),
)
