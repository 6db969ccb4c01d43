"""What is noticed once all trials of a page are read: what is missing or doubled, and the readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from halfdrop.core.findings import Finding, Place
from halfdrop.core.glassware.calibration import calibration_from_tests, check_range
from halfdrop.core.glassware.checks import USP_SHARE, check_trials
from halfdrop.core.glassware.readings import Graduation, TrialReadings
from halfdrop.core.titration.build import BLANK
from halfdrop.core.titration.deliveries import FIRST, Delivery
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.record import Burette, Calibration, Choice, State, Trial
from halfdrop.files.burettes import Burettes
from halfdrop.files.fields import known
from halfdrop.files.numbers import shown
from halfdrop.files.text_files import refusal

_AMOUNTS = ("mass", "pipette", "volume")  # kinds that a titre is in proportion to


@dataclass(frozen=True)
class Page:
    """The trials of a determination and what they are held against.

    Attributes:
        method: the method.
        deliveries: the titres of its working.
        trials: in the order of the page.
        burettes: those of the determination.
        choice: which trials were marked.
        top: place of the whole file.
    """

    method: Method
    deliveries: Sequence[Delivery]
    trials: Sequence[Trial]
    burettes: Burettes
    choice: Choice
    top: Place

    def of(self, series: str) -> list[Trial]:
        """Return the trials of one series."""
        return [trial for trial in self.trials if trial.series == series]


def check_page(page: Page) -> list[Finding]:
    """Make every check on the trials of a page."""
    return [
        *_doubled(page),
        *_absent(page),
        *_marked(page),
        *_burettes(page),
        *_ways_of_weighing(page),
        *_readings(page),
    ]


def _doubled(page: Page) -> Iterator[Finding]:
    """Find two trials of one series with one label."""
    first: dict[tuple[str, str], Trial] = {}
    for trial in page.trials:
        earlier = first.setdefault((trial.series, trial.label), trial)
        if earlier is not trial:
            where = f", on line {earlier.place.line}" if earlier.place.line else ""
            message = (
                f"There is a trial {shown(trial.label)} in this series already{where}. Give each its own no, "
                "or take out what was written twice."
            )
            yield refusal("trial-twice", message, trial.place, trial.label)


def _absent(page: Page) -> Iterator[Finding]:
    """Find series that the method needs and that have no trial to work with."""
    for name, series in page.method.series.items():
        trials = page.of(name)
        accurate = [trial for trial in trials if trial.state is State.ACCURATE]
        if accurate or (not trials and series.optional):
            continue
        if trials:
            states = ", ".join(dict.fromkeys(trial.state.value for trial in trials))
            message = (
                f"No accurate trial is left to work with: those of the series {name} ({series.says}) "
                f"are {states}."
            )
            yield refusal("no-accurate-trial", message, trials[0].place)
            continue
        main = series is page.method.main_series
        how = "" if main else f' with series = "{name}"'
        readings = ", ".join(series.readings)
        message = f"No trial of {series.says} is written. Add [[trial]]{how} and its {readings}."
        yield refusal("trials-missing", message, page.top)


def _marked(page: Page) -> Iterator[Finding]:
    """Find marked trials that do not exist or are not accurate."""
    by_label = {trial.label: trial for trial in page.trials}
    place = Place(page.top.file, page.top.line, "choose, used")
    for label in page.choice.used:
        trial = by_label.get(label)
        if trial is None:
            message = f"There is no trial {shown(label)}. {known(label, list(by_label)[:20])}"
            yield refusal("trial-unknown", message, place, label)
        elif trial.state is not State.ACCURATE:
            message = f"Trial {label} is marked as used and is {trial.state}. Choose an accurate trial."
            yield refusal("marked-not-accurate", message, place, label)


def _burettes(page: Page) -> Iterator[Finding]:
    """Find out whether the burettes that the trials need are described."""
    if not page.burettes.usual and any(not trial.burette for trial in page.trials):
        message = (
            "The burette is not described. Write [burette] with id, capacity_mL, division_mL and class, "
            "or name a burette in every trial."
        )
        yield refusal("burette-missing", message, page.top)
    second = {name for one in page.deliveries if one.burette != FIRST for name in (one.start, one.end)}
    users = [trial for trial in page.trials if second & set(trial.readings)]
    if users and not page.burettes.second:
        message = (
            "A second burette was read and is not described. Write [second_burette] with id, capacity_mL, "
            "division_mL and class, or the id of the first where it was the same."
        )
        yield refusal("burette-missing", message, users[0].place)


def _ways_of_weighing(page: Page) -> Iterator[Finding]:
    """Find masses of which some are given as two weighings and some as one number."""
    for name, quantity in page.method.quantities.items():
        own = [trial for trial in page.trials if name in trial.given]
        by_difference = [trial for trial in own if trial.given[name].gross is not None]
        if quantity.kind == "mass" and by_difference and len(by_difference) < len(own):
            odd = next(trial for trial in own if trial.given[name].gross is None)
            message = (
                f"{name} is given as gross and tare in some trials and as one number in others. "
                "Write it the same way in all of them."
            )
            yield refusal("mass-ways", message, odd.given[name].place, odd.given[name].written)


def _readings(page: Page) -> Iterator[Finding]:
    """Look at the readings themselves, for each series, burette and pair of readings."""
    said: set[tuple[str, Place, str]] = set()
    for one in page.deliveries:
        groups: dict[str, list[Trial]] = {}
        usual = page.burettes.usual if one.burette == FIRST else page.burettes.second
        for trial in page.of(one.series):
            if {one.start, one.end} <= set(trial.readings):
                own = trial.burette if one.burette == FIRST else ""
                groups.setdefault(own or usual, []).append(trial)
        for name, trials in groups.items():
            burette = page.burettes.by_id.get(name)
            if burette is None:
                continue
            for finding in _on_one_burette(page, one, burette, trials):
                key = (finding.code, finding.place, finding.message)
                if key not in said:
                    said.add(key)
                    yield finding


def _on_one_burette(
    page: Page, delivery: Delivery, burette: Burette, trials: Sequence[Trial]
) -> Iterator[Finding]:
    amounts = _amounts(page.method, trials)
    readings = [
        TrialReadings(
            trial.label, trial.segments(delivery.start, delivery.end), trial.place,
            trial.state is State.ACCURATE, amount,
        )
        for trial, amount in zip(trials, amounts, strict=True)
    ]  # fmt: skip
    first = delivery.burette == FIRST and delivery.start == page.method.series[delivery.series].readings[0]
    share = USP_SHARE if first and delivery.series != BLANK else None
    graduation = Graduation(
        burette.capacity_ml, burette.division_ml, label_interval_ml=min(Decimal(1), burette.capacity_ml)
    )
    found = check_trials(readings, graduation, share, float(page.method.agreement.limit_ml))
    for finding in (*found, *_beyond(burette.calibration, burette.id, readings)):
        yield finding.at(replace(finding.place, field=_renamed(finding.place.field, delivery)))


def _renamed(words: str, delivery: Delivery) -> str:
    """Return the words of a place with the names that the method has for the two readings."""
    head, comma, last = words.rpartition(", ")
    names = {"initial": delivery.start, "final": delivery.end}
    return f"{head}{comma}{names[last]}" if comma and last in names else words


def _amounts(method: Method, trials: Sequence[Trial]) -> list[float]:
    """Return what titres are in proportion to, where every trial has its own; else 1 for each."""
    for name, quantity in method.quantities.items():
        if quantity.kind in _AMOUNTS and all(name in trial.given for trial in trials):
            amounts = [trial.given[name].value for trial in trials]
            if all(amount > 0 for amount in amounts):
                return amounts
    return [1.0] * len(trials)


def _beyond(calibration: Calibration | None, name: str, readings: Sequence[TrialReadings]) -> list[Finding]:
    if calibration is None:
        return []
    tested = calibration_from_tests(
        name, calibration.marks_ml, calibration.corrections_ml, calibration.u_ml, "from zero"
    )
    return check_range(readings, tested)
