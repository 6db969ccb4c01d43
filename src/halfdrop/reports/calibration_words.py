"""What a calibration says, in words that its documents and the terminal share."""

from __future__ import annotations

import math
from collections.abc import Iterator

from halfdrop.core.glassware.conformity import PROBABILITY, Outcome, Rule
from halfdrop.core.glassware.shelf import Kind
from halfdrop.core.measure.rounding import report, report_dof
from halfdrop.files.calibration import CalibrationRead
from halfdrop.reports.words import minus, significant
from halfdrop.usecases.calibrate import PieceCalibrated

OWN_CHECK = (
    "A laboratory's own check of its glassware, not an accredited calibration certificate: nobody but the "
    "laboratory vouches for it."
)
RULES = {
    Rule.SIMPLE: (
        "simple acceptance: the error itself is held against the limit, provided its expanded uncertainty is "
        "no more than a third of the limit"
    ),
    Rule.GUARDED: (
        "guarded acceptance: within only if the error with its expanded uncertainty lies within the limit, "
        "out only if all of it lies beyond; the expanded uncertainty may be no more than a third of the limit"
    ),
}


def title(one: PieceCalibrated) -> str:
    """Return what the piece is."""
    piece = one.weighed.piece
    division = f" in {piece.division_ml:f} mL" if piece.division_ml is not None else ""
    grade = f", class {piece.glass_class}" if piece.glass_class else ""
    return f"{piece.kind.value.capitalize()} {piece.id}, {piece.capacity_ml:f} mL{division}{grade}"


def verdict(one: PieceCalibrated, read: CalibrationRead) -> str:
    """Return what was decided, in one sentence."""
    limit = one.weighed.limit_ml
    if limit is None:
        return f"{one.id} was not held against a limit: none is known."
    name = f"{one.id} {_outcome(one.outcome, limit)}"
    return f"{name}, by {read.rule.value}."


def _outcome(outcome: Outcome | None, limit: float) -> str:
    if outcome is Outcome.WITHIN:
        return f"is within its limit of ±{limit:g} mL"
    if outcome is Outcome.OUT:
        return f"is out of its limit of ±{limit:g} mL"
    return f"may be within its limit of ±{limit:g} mL or not: this measurement cannot decide"


def where(one: PieceCalibrated) -> Iterator[str]:
    """Say how it stands at the marks and between them, and where the error is largest."""
    start, stop, error, wide = one.worst()
    yield (
        f"The largest error is {signed(error)} mL (± {wide:.3f} mL, expanded), from {start:g} to {stop:g} mL."
    )
    if one.weighed.limit_ml is None:
        return
    at_marks, between = one.compared.parts(one.place)
    if between is not None and at_marks is not between:
        yield f"At the marks, counted from zero: {at_marks.value}. Between any two marks: {between.value}."
    if one.outcome is Outcome.CANNOT_DECIDE:
        needed = one.needed()
        if math.isfinite(needed) and needed > one.deliveries_each():
            yield f"About {needed:.0f} deliveries to each mark would make it fine enough."


def use(one: PieceCalibrated) -> str:
    """Say how the piece is used with what was found."""
    piece, done, place = one.weighed.piece, one.corrected, one.place
    if piece.kind is Kind.BURETTE:
        return (
            "A titre is the difference of two corrected readings. In a determination write under [burette]: "
            'calibration = "NAME.json", saved with halfdrop calibrate FILE --json > NAME.json.'
        )
    volume, u = (
        float(piece.capacity_ml or 0) + float(done.corrections_ml[place, 0]),
        float(done.u_ml[place, 0]),
    )
    shown = report(volume, u)
    return (
        f'In a determination write its volume as found: {{ value = "{shown.value}", unit = "mL", '
        f'u = "{shown.uncertainty}", id = "{piece.id}" }}.'
    )


def signed(value_ml: float, decimals: int = 3) -> str:
    """Return a volume with its sign; what rounds to nothing has none."""
    text = f"{value_ml:+.{decimals}f}"
    return minus(text) if text.strip("+-0.") else text[1:]


def corrections(one: PieceCalibrated) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield for each mark: mark, correction, its expanded uncertainty, coverage factor, what was decided."""
    seen, done, place = one.compared, one.corrected, one.place
    for k, mark in enumerate(done.marks_ml):
        wide = float(seen.expanded_ml[place, k])
        shown = report(float(done.corrections_ml[place, k]), wide)
        judged = one.weighed.limit_ml is not None
        decided = (Outcome.WITHIN, Outcome.OUT, Outcome.CANNOT_DECIDE)[int(seen.codes[place, k])].value
        yield (
            f"{mark:g}", _plus(shown.value), shown.uncertainty, f"{seen.k[place, k]:.2f}",
            decided if judged else "",
        )  # fmt: skip


def _plus(figures: str) -> str:
    return minus(figures if figures.startswith(("-", "−")) or not figures.strip("0.") else f"+{figures}")


def scatter(one: PieceCalibrated) -> str:
    """Say where the random part comes from."""
    found, place = one.corrected.scatter, one.place
    dof = float(found.used_dof[place])
    words = f"{found.words}: {significant(float(found.used_ml[place]))} mL for one delivery"
    if math.isfinite(dof):
        words += f", {report_dof(dof)} degrees of freedom"
    seen = float(found.found_ml[place])
    if math.isfinite(seen) and found.expected_ml > 0:
        words += (
            f"; the repeats scatter by {significant(seen)} mL, reading and weighing lead to expect "
            f"{significant(found.expected_ml)} mL"
        )
    return words


def between(one: PieceCalibrated) -> str:
    """Say how far the correction may stray between two marks."""
    strayed, place = one.strayed, one.place
    found = float(strayed.found_ml[place])
    said = (
        f"its {strayed.inner} inner marks, each predicted from its neighbours, say {significant(found)} mL"
        if math.isfinite(found)
        else "there is no inner mark to judge by"
    )
    return (
        f"Between two marks the correction runs straight; midway it may stray by u = "
        f"{significant(float(strayed.u_ml[place]))} mL ({said}; pooled with an assumption of "
        f"{significant(float(strayed.assumed_ml[place]))} mL that counts as two degrees of freedom)."
    )


def coverage() -> str:
    """Say what the expanded uncertainty is."""
    return (
        f"Expanded uncertainty for {100 * PROBABILITY:.0f} % coverage, by the t-distribution with the "
        "degrees of freedom of each."
    )


def causes(one: PieceCalibrated) -> list[tuple[str, list[float]]]:
    """Return the standard uncertainty from each cause at each mark, the largest at the last mark first."""
    parts = [(name, [float(u) for u in part[one.place]]) for name, part in one.corrected.by_group.items()]
    return sorted(parts, key=lambda item: -item[1][-1])
