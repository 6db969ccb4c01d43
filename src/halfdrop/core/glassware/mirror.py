"""Titres that stand apart from the others: one edit of one reading may bring them back.

A burette's numbers grow downwards. A reader who takes the numbered line below the level and counts upwards,
or who counts from the wrong one of two lines, writes the mirror image of the level. A slip of a whole
millilitre moves a reading by a whole number. Both leave their mark in the digits, so both can be looked for.
What is found is a question to the person, never a diagnosis, because unrelated outliers fit such a question
by chance: :data:`CHANCE` of them. Several trials that fit count for more; near .00 and .50 a mirrored reading
moves by nothing or by a whole interval and proves nothing, so it is not asked about.

Source of the fault: Royal Society of Chemistry, CPD course "Titrations" (the inverted scale leads to odd
first readings). The way of looking for it is this project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.glassware.readings import Graduation, Reading, TrialReadings

AGREE_ML = 0.10
"""Titres within this range agree, where the method says nothing else (common practice, no source)."""

JOIN_ML = 0.05
"""An edited titre joins the others when it comes this close to their mean."""

MOST_WHOLE_ML = 10
"""Slips of up to so many whole millilitres, and of whole tens beyond, are asked about: one digit misread."""

CHANCE = 0.08
"""Share of unrelated outliers of 0.2 to 2 mL that a telling edit would bring back (by simulation, see the
tests; a plain slip of a whole millilitre fits as often)."""

CHANCE_THROUGHOUT = 0.005
"""Share of sets of three with one unrelated outlier that agree once all readings are mirrored (likewise)."""


class Mirror(StrEnum):
    """How a level was turned into its mirror image."""

    ABOVE_LABEL = "counted upwards from the numbered line below it"
    BETWEEN_LABELS = "counted from the wrong one of the two numbered lines"
    ABOVE_LINE = "estimated upwards from the line below it"
    BETWEEN_LINES = "estimated from the wrong one of the two lines"


@dataclass(frozen=True)
class MirrorEdit:
    """One way in which a written reading may be the mirror image of the level.

    Attributes:
        kind: how it came about.
        would_be_ml: the level, if so.
        telling: False near the middle or the ends of the interval, where the edit proves nothing.
    """

    kind: Mirror
    would_be_ml: Decimal
    telling: bool


def mirror_edits(reading: Reading, graduation: Graduation) -> tuple[MirrorEdit, ...]:
    """Return the levels of which a written reading may be the mirror image.

    With w as written and the numbered line f at or before it (interval I, 1 mL on most burettes) these are
    2 f - w and 2 f + I - w, and the same with the lines of one division. A reading exactly on a line has no
    mirror image; images off the scale are left out.

    >>> from decimal import Decimal
    >>> burette = Graduation(Decimal(50), Decimal("0.1"))
    >>> [str(edit.would_be_ml) for edit in mirror_edits(Reading("21.27"), burette)][:2]
    ['20.73', '21.73']
    """
    pairs = [(graduation.label_interval_ml, Mirror.ABOVE_LABEL, Mirror.BETWEEN_LABELS)]
    if graduation.division_ml != graduation.label_interval_ml:
        pairs.append((graduation.division_ml, Mirror.ABOVE_LINE, Mirror.BETWEEN_LINES))
    edits = []
    for interval, above, between in pairs:
        part = reading.decimal % interval
        if part == 0:
            continue
        line = reading.decimal - part
        telling = min(part, interval - part, abs(part - interval / 2)) > interval / 20
        edits += [
            MirrorEdit(above, line - part, telling),
            MirrorEdit(between, line + interval - part, telling),
        ]
    return tuple(
        edit
        for edit in edits
        if 0 <= edit.would_be_ml <= graduation.capacity_ml and edit.would_be_ml != reading.decimal
    )


@dataclass(frozen=True)
class Edit:
    """One edit of one reading that would bring a trial to the others.

    Attributes:
        segment: which delivery of the trial, from 0.
        end: ``initial`` or ``final``.
        written: the reading as written.
        would_be: the edited reading.
        kind: what the edit is, in words.
        titre_ml: the titre after it.
    """

    segment: int
    end: str
    written: str
    would_be: str
    kind: str
    titre_ml: float


@dataclass(frozen=True)
class Odd:
    """A trial that stands apart: its place in the list, and what its titre would be among the others."""

    index: int
    expected_ml: float

    def joins(self, titre_ml: float) -> bool:
        """Tell whether a titre would lie among the others."""
        return abs(titre_ml - self.expected_ml) <= JOIN_ML + 1e-9


def agreeing(titres_ml: npt.ArrayLike, agree_ml: float = AGREE_ML) -> npt.NDArray[np.bool_]:
    """Return which titres belong to the largest group within ``agree_ml``, the tightest of equals.

    All False when that group is not more than half of them: then nobody can say which stand apart.

    Args:
        titres_ml: the titres, shape ``(t,)``.
        agree_ml: the range within which titres agree.
    """
    values = np.asarray(titres_ml, dtype=float)
    order = np.argsort(values, kind="stable")
    sorted_values = values[order]
    ends = np.searchsorted(sorted_values, sorted_values + agree_ml + 1e-9, side="right")
    sizes = ends - np.arange(len(values))
    chosen = np.zeros(len(values), dtype=bool)
    if len(values) == 0 or 2 * sizes.max() <= len(values) or sizes.max() < 2:
        return chosen
    starts = np.flatnonzero(sizes == sizes.max())
    spans = sorted_values[ends[starts] - 1] - sorted_values[starts]
    start = starts[np.argmin(spans)]
    chosen[order[start : ends[start]]] = True
    return chosen


def odd_ones_out(trials: Sequence[TrialReadings], agree_ml: float = AGREE_ML) -> tuple[Odd, ...]:
    """Return the accurate trials that stand apart from a majority that agrees.

    Titres of different amounts are compared as titre per amount, scaled to the mean amount.
    """
    usable = [i for i, trial in enumerate(trials) if trial.accurate and trial.titre_ml > 0]
    if len(usable) < 3:
        return ()
    amounts = np.array([trials[i].amount for i in usable])
    rates = np.array([float(trials[i].titre_ml) for i in usable]) / amounts
    group = agreeing(rates * amounts.mean(), agree_ml)
    if not group.any():
        return ()
    rate = float(rates[group].mean())
    # outside the group by a hair is no oddity: apart is farther from its mean than titres may be and agree
    apart = ~group & (np.abs(rates - rate) * amounts.mean() > agree_ml + 1e-9)
    return tuple(Odd(usable[j], rate * amounts[j]) for j in np.flatnonzero(apart))


def check_odd_trials(
    trials: Sequence[TrialReadings], graduation: Graduation, agree_ml: float = AGREE_ML
) -> list[Finding]:
    """Ask about trials that one edit of one reading would bring to the others.

    Args:
        trials: the trials of one series.
        graduation: the lines of the burette.
        agree_ml: the range within which titres agree.

    Returns:
        Per trial at most one finding for a slip of whole millilitres and one for a mirrored reading; the
        edits are in its evidence.
    """
    odd = odd_ones_out(trials, agree_ml)
    mirrored = {o.index: tuple(_joining_mirrors(trials[o.index], o, graduation)) for o in odd}
    fitting = sum(bool(edits) for edits in mirrored.values())
    findings = []
    for one in odd:
        trial = trials[one.index]
        whole = _joining_wholes(trial, one, graduation)
        if whole:
            findings.append(_whole_finding(trial, one, whole))
        if mirrored[one.index]:
            findings.append(_mirror_finding(trial, one, mirrored[one.index], fitting, len(odd)))
    return findings


def _ends(trial: TrialReadings) -> list[tuple[int, str, Reading]]:
    return [
        (index, end, reading)
        for index, segment in enumerate(trial.segments)
        for end, reading in (("initial", segment.initial), ("final", segment.final))
    ]


def _edited(trial: TrialReadings, segment: int, end: str, level_ml: Decimal, kind: str) -> Edit | None:
    """Return the edit with the titre it gives, or None if the delivery would run the wrong way."""
    old = trial.segments[segment]
    written = old.initial if end == "initial" else old.final
    change = level_ml - written.decimal
    delivered = old.delivered_ml + (change if end == "final" else -change)
    if delivered <= 0:
        return None
    titre = float(trial.titre_ml - old.delivered_ml + delivered)
    return Edit(segment, end, written.text.strip(), f"{level_ml:f}", kind, titre)


def _joining_mirrors(trial: TrialReadings, odd: Odd, graduation: Graduation) -> list[Edit]:
    found = []
    for segment, end, reading in _ends(trial):
        for mirrored in mirror_edits(reading, graduation):
            edit = _edited(trial, segment, end, mirrored.would_be_ml, mirrored.kind.value)
            if mirrored.telling and edit is not None and odd.joins(edit.titre_ml):
                found.append(edit)
    return found


def _joining_wholes(trial: TrialReadings, odd: Odd, graduation: Graduation) -> list[Edit]:
    offset = float(trial.titre_ml) - odd.expected_ml
    whole = round(offset)
    likely = 0 < abs(whole) <= MOST_WHOLE_ML or (whole != 0 and whole % 10 == 0)
    if not likely or abs(offset - whole) > JOIN_ML + 1e-9:
        return []
    found = []
    for segment, end, reading in _ends(trial):
        level = reading.decimal + (whole if end == "initial" else -whole)
        edit = _edited(trial, segment, end, level, f"{abs(whole)} mL")
        if 0 <= level <= graduation.capacity_ml and edit is not None:
            found.append(edit)
    return found


def _whole_finding(trial: TrialReadings, odd: Odd, edits: Sequence[Edit]) -> Finding:
    message = (
        f"{_apart(trial, odd)}, close to a whole number of millilitres. Could a numbered line have been "
        f"misread or miscopied: {_in_words(edits)}? Look at the page, and change nothing that cannot be seen "
        "there."
    )
    place = trial.place_of()
    return Finding("whole-ml-apart", Severity.ATTENTION, message, place, _evidence(trial, odd, edits))


def _mirror_finding(
    trial: TrialReadings, odd: Odd, edits: Sequence[Edit], fitting: int, odd_count: int
) -> Finding:
    kinds = " or ".join(dict.fromkeys(edit.kind for edit in edits))
    weight = f"About one unrelated outlier in {round(1 / CHANCE)} fits this by chance, so it is no proof."
    if fitting > 1:
        weight = f"{fitting} of the {odd_count} trials that stand apart fit such a question; that has weight."
    message = (
        f"{_apart(trial, odd)}. The numbers of a burette grow downwards: was the level {kinds}? "
        f"Read the right way it would be {_in_words(edits)}, and the titre would join the others. {weight}"
    )
    evidence = {
        **_evidence(trial, odd, edits),
        "trials_that_fit": fitting,
        "trials_apart": odd_count,
        "chance": CHANCE,
    }
    return Finding("mirrored-reading", Severity.ATTENTION, message, trial.place_of(), evidence)


def _apart(trial: TrialReadings, odd: Odd) -> str:
    offset = float(trial.titre_ml) - odd.expected_ml
    side = "above" if offset > 0 else "below"
    return f"The titre {trial.titre_ml} mL stands {abs(offset):.2f} mL {side} the others"


def _in_words(edits: Sequence[Edit]) -> str:
    words = (f"{edit.would_be} for {edit.written} ({edit.end})" for edit in edits)
    return " or ".join(dict.fromkeys(words))


def _evidence(trial: TrialReadings, odd: Odd, edits: Sequence[Edit]) -> dict[str, object]:
    return {
        "titre_ml": float(trial.titre_ml),
        "others_would_give_ml": odd.expected_ml,
        "edits": [
            {
                "place": str(trial.place_of(edit.segment, edit.end)),
                "written": edit.written,
                "would_be": edit.would_be,
                "kind": edit.kind,
                "titre_ml": edit.titre_ml,
            }
            for edit in edits
        ],
    }


def check_mirrored_throughout(
    trials: Sequence[TrialReadings], graduation: Graduation, agree_ml: float = AGREE_ML
) -> list[Finding]:
    """Ask whether every reading was mirrored, when titres that do not agree would agree once mirrored back.

    Three accurate trials at least. A reading exactly on a line stays as it is.
    """
    used = [trial for trial in trials if trial.accurate]
    if len(used) < 3 or any(trial.titre_ml <= 0 for trial in used):
        return []
    if np.ptp(_scaled([trial.titre_ml for trial in used], used)) <= agree_ml + 1e-9:
        return []
    for kind in (Mirror.ABOVE_LABEL, Mirror.BETWEEN_LABELS):
        titres = [_mirrored_titre(trial, graduation, kind) for trial in used]
        known = [titre for titre in titres if titre is not None]
        if len(known) == len(used) and np.ptp(_scaled(known, used)) <= agree_ml + 1e-9:
            return [_throughout_finding(used, known, kind)]
    return []


def _scaled(titres_ml: Sequence[Decimal], trials: Sequence[TrialReadings]) -> npt.NDArray[np.float64]:
    """Return titres as if every trial had the mean amount."""
    amounts = np.array([trial.amount for trial in trials], dtype=np.float64)
    titres = np.array([float(titre) for titre in titres_ml], dtype=np.float64)
    return titres * np.mean(amounts) / amounts


def _mirrored_titre(trial: TrialReadings, graduation: Graduation, kind: Mirror) -> Decimal | None:
    """Return the titre with every reading mirrored back, or None where that cannot be."""
    total = Decimal(0)
    for segment in trial.segments:
        initial = _level(segment.initial, graduation, kind)
        final = _level(segment.final, graduation, kind)
        if initial is None or final is None or final <= initial:
            return None
        total += final - initial
    return total


def _level(reading: Reading, graduation: Graduation, kind: Mirror) -> Decimal | None:
    if reading.decimal % graduation.label_interval_ml == 0:
        return reading.decimal
    edits = {edit.kind: edit.would_be_ml for edit in mirror_edits(reading, graduation)}
    return edits.get(kind)


def _throughout_finding(
    trials: Sequence[TrialReadings], titres_ml: Sequence[Decimal], kind: Mirror
) -> Finding:
    titres = ", ".join(str(titre) for titre in titres_ml)
    message = (
        f"The titres do not agree as written. If every level was {kind.value}, they would be {titres} mL and "
        "agree. Which way do the numbers run on this burette? "
        f"About one unrelated set in {round(1 / CHANCE_THROUGHOUT)} fits this by chance."
    )
    evidence: dict[str, object] = {
        "kind": kind.value,
        "titres_ml": {trial.label: str(t) for trial, t in zip(trials, titres_ml, strict=True)},
        "chance": CHANCE_THROUGHOUT,
    }
    return Finding("mirrored-throughout", Severity.ATTENTION, message, trials[0].place_of(), evidence)
