"""What can be noticed in a page of readings before any chemistry.

Each check looks at one thing and returns findings; :func:`check_trials` makes all of them. Comparisons
between trials (a reading that would join the others if mirrored, a slip of a whole millilitre) are in
:mod:`halfdrop.core.glassware.mirror`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware.mirror import AGREE_ML, check_mirrored_throughout, check_odd_trials
from halfdrop.core.glassware.readings import Graduation, Reading, TrialReadings, placed_readings


@dataclass(frozen=True)
class Share:
    """A smallest share of a burette's capacity that a titre should use, and who asks for it."""

    fraction: Decimal
    source: str


USP_SHARE = Share(
    Decimal("0.30"), "USP-NF general chapter <31> Volumetric Apparatus (USP 28 and 29, 2005 and 2006)"
)
"""The titrant volume should be not less than 30 % of the nominal volume of the burette."""


def check_trials(
    trials: Sequence[TrialReadings],
    graduation: Graduation,
    share: Share | None = USP_SHARE,
    agree_ml: float = AGREE_ML,
) -> tuple[Finding, ...]:
    """Make every check on the trials of one series read on one burette.

    Args:
        trials: the trials, in the order of the page.
        graduation: the lines of the burette.
        share: the smallest share of the capacity a titre should use; None for blanks, which are small.
        agree_ml: titres that lie within this range agree; the method's limit where it has one.
    """
    return (
        *check_decimals(trials, graduation),
        *check_last_digit(trials, graduation),
        *check_scale_ends(trials, graduation),
        *check_direction(trials, graduation),
        *check_size(trials, graduation, share),
        *check_odd_trials(trials, graduation, agree_ml),
        *check_mirrored_throughout(trials, graduation, agree_ml),
    )


def check_decimals(trials: Sequence[TrialReadings], graduation: Graduation) -> list[Finding]:
    """Find readings written to different digits, or all to fewer digits than the method asks for.

    Accurate trials only: a rough trial is often read to one digit less, and does no harm.
    """
    by_decimals: dict[int, list[tuple[Reading, Place]]] = {}
    for reading, place in placed_readings([trial for trial in trials if trial.accurate]):
        by_decimals.setdefault(reading.decimals, []).append((reading, place))
    evidence: dict[str, object] = {
        "readings": {n: [str(place) for _, place in found] for n, found in sorted(by_decimals.items())}
    }
    if len(by_decimals) > 1:
        rarest = min(by_decimals.values(), key=len)
        examples = [found[0][0].text.strip() for _, found in sorted(by_decimals.items())]
        listed = f"{', '.join(examples[:-1])} and {examples[-1]}"
        message = (
            f"Readings are written to different digits, such as {listed}. 23.4 and 23.40 say different "
            "things about the last digit. Write every reading to the same digit."
        )
        return [Finding("decimals-mixed", Severity.ATTENTION, message, rarest[0][1], evidence)]
    step = graduation.recording_step_ml
    if step is None or not by_decimals:
        return []
    written, wanted = next(iter(by_decimals)), max(0, -int(step.normalize().as_tuple().exponent))
    if written >= wanted:
        return []
    count = "1 decimal" if written == 1 else f"{written or 'no'} decimals"
    message = (
        f"Readings are written with {count}, where {_plain(step)} mL is asked for. "
        f"Estimate between the lines and write {wanted}, a final 0 included."
    )
    return [Finding("decimals-few", Severity.ATTENTION, message, by_decimals[written][0][1], evidence)]


def check_last_digit(trials: Sequence[TrialReadings], graduation: Graduation) -> list[Finding]:
    """Find readings finer than a tenth of a division, or off the step the method asks for."""
    readings = placed_readings(trials)
    finest = graduation.finest_estimate_ml
    fine = [(r, p) for r, p in readings if r.decimal % finest]
    findings = []
    if fine:
        message = (
            f"{_listed(fine)}: finer than a tenth of a division. With lines every "
            f"{_plain(graduation.division_ml)} mL a level can be estimated to {_plain(finest)} mL at best. "
            "Write what was seen on the scale."
        )
        findings.append(_gathered("digit-too-fine", Severity.ATTENTION, message, fine))
    step = graduation.recording_step_ml
    if step is None:
        return findings
    off = [(r, p) for r, p in readings if r.decimal % step and not r.decimal % finest]
    if off:
        message = (
            f"{_listed(off)}: not on the step of {_plain(step)} mL that is asked for. "
            f"The result uses what was written."
        )
        findings.append(_gathered("digit-off-step", Severity.NOTE, message, off))
    return findings


def check_scale_ends(trials: Sequence[TrialReadings], graduation: Graduation) -> list[Finding]:
    """Find readings past the last line, and final readings exactly on it."""
    findings = []
    for trial in trials:
        for index, segment in enumerate(trial.segments):
            for end, reading in (("initial", segment.initial), ("final", segment.final)):
                found = _scale_end(trial, reading, end, graduation.capacity_ml)
                if found is not None:
                    findings.append(found.at(trial.place_of(index, end)))
    return findings


def _scale_end(trial: TrialReadings, reading: Reading, end: str, capacity_ml: Decimal) -> Finding | None:
    evidence: dict[str, object] = {"reading": reading.text, "capacity_ml": float(capacity_ml)}
    if reading.decimal > capacity_ml:
        message = (
            f"{reading} is past the last line of a burette of {_plain(capacity_ml)} mL. A level below that "
            "line cannot be read. Leave the trial out, or give the refill with the reading before and after "
            "it."
        )
        return Finding("off-the-scale", trial.severity, message, evidence=evidence)
    if reading.decimal == capacity_ml and end == "final":
        message = (
            f"The final reading is exactly the last line, {reading}. If the level ran past it before the tap "
            "was closed, the titre is not known: leave the trial out."
        )
        return Finding("on-the-last-line", Severity.NOTE, message, evidence=evidence)
    return None


def check_direction(trials: Sequence[TrialReadings], graduation: Graduation) -> list[Finding]:
    """Find final readings that are not above the initial ones.

    When all of them are below, one finding asks whether the columns were exchanged or the volume remaining in
    the burette was written: the titre is the same either way, where it stands on the scale is not.
    """
    segments = [(trial, index) for trial in trials for index in range(len(trial.segments))]
    backwards = [(t, i) for t, i in segments if t.segments[i].delivered_ml < 0]
    if len(backwards) == len(segments) > 1:
        return [_all_backwards(trials, graduation)]
    findings = []
    for trial, index in backwards:
        segment = trial.segments[index]
        message = (
            f"Final is below initial: {segment.final} after {segment.initial}. If the level still stands "
            "there, read the burette again before you touch the tap. Otherwise leave the trial out and say "
            "why."
        )
        place = trial.place_of(index, "final")
        evidence = _backwards_evidence(trial, index, graduation)
        findings.append(Finding("final-below-initial", trial.severity, message, place, evidence))
    for trial, index in segments:
        segment = trial.segments[index]
        if segment.delivered_ml == 0:
            message = (
                f"Initial and final are the same, {segment.final}: nothing was delivered. Read both again."
            )
            place = trial.place_of(index, "final")
            findings.append(Finding("nothing-delivered", Severity.ATTENTION, message, place))
    return findings


def _all_backwards(trials: Sequence[TrialReadings], graduation: Graduation) -> Finding:
    first = trials[0].segments[0]
    swapped = f"{first.final} to {first.initial}"
    capacity = graduation.capacity_ml
    remaining = f"{capacity - first.initial.decimal} to {capacity - first.final.decimal}"
    message = (
        "In every trial the final reading is below the initial one. Either the two columns were exchanged "
        f"(the first delivery then ran from {swapped}), or the volume remaining in the burette was written "
        f"(then from {remaining}). Look at the burette, say which, and write initial and final as the scale "
        "shows them."
    )
    severity = Severity.REFUSED if any(trial.accurate for trial in trials) else Severity.ATTENTION
    evidence: dict[str, object] = {
        str(trial.place_of(index)): _backwards_evidence(trial, index, graduation)
        for trial in trials
        for index in range(len(trial.segments))
    }
    return Finding("all-final-below-initial", severity, message, trials[0].place_of(), evidence)


def _backwards_evidence(trial: TrialReadings, index: int, graduation: Graduation) -> dict[str, object]:
    """Return the two ways to read a delivery whose final is below its initial."""
    segment, capacity = trial.segments[index], graduation.capacity_ml
    return {
        "written": (str(segment.initial), str(segment.final)),
        "if_columns_exchanged": (str(segment.final), str(segment.initial)),
        "if_volume_remaining": (
            str(capacity - segment.initial.decimal),
            str(capacity - segment.final.decimal),
        ),
    }


def check_size(
    trials: Sequence[TrialReadings], graduation: Graduation, share: Share | None = USP_SHARE
) -> list[Finding]:
    """Find titres that use too small a share of the burette."""
    if share is None:
        return []
    least = share.fraction * graduation.capacity_ml
    small = [trial for trial in trials if trial.accurate and 0 < trial.titre_ml < least]
    if not small:
        return []
    titres = sorted(trial.titre_ml for trial in small)
    sizes = f"{titres[0]} mL" if titres[0] == titres[-1] else f"{titres[0]} to {titres[-1]} mL"
    message = (
        f"A titre of {sizes} is less than {share.fraction * 100:.0f} % of a burette of "
        f"{_plain(graduation.capacity_ml)} mL ({share.source}). The same slip in reading weighs more on a "
        "small titre. Take a larger aliquot, a weaker titrant or a smaller burette."
    )
    evidence: dict[str, object] = {
        "titres_ml": {trial.label: str(trial.titre_ml) for trial in small},
        "least_ml": float(least),
        "source": share.source,
    }
    return [Finding("titre-small", Severity.ATTENTION, message, small[0].place_of(), evidence)]


def _plain(volume_ml: Decimal) -> str:
    """Return a volume without idle zeros: 50 for 50.0."""
    return f"{volume_ml.normalize():f}"


def _listed(readings: Sequence[tuple[Reading, Place]], most: int = 4) -> str:
    """Return the readings in words, the rest as a count."""
    words = [f"{reading.text.strip()} ({place})" for reading, place in readings[:most]]
    rest = len(readings) - most
    return ", ".join(words) + (f" and {rest} more" if rest > 0 else "")


def _gathered(
    code: str, severity: Severity, message: str, readings: Sequence[tuple[Reading, Place]]
) -> Finding:
    evidence: dict[str, object] = {"readings": {str(place): reading.text for reading, place in readings}}
    return Finding(code, severity, message, readings[0][1], evidence)
