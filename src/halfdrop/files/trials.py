"""The trials of a page: readings, refills, what became of each, and what each has of its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from halfdrop.core.findings import Finding
from halfdrop.core.glassware.readings import Reading, read_text
from halfdrop.core.glassware.thermal import check_temperature
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.deliveries import Delivery, deliveries, optional_readings
from halfdrop.core.titration.method import Method, Series
from halfdrop.core.titration.record import Given, Reason, Refill, State, Trial
from halfdrop.files.burettes import Burettes, burette_of
from halfdrop.files.fields import Fields, as_text, known
from halfdrop.files.keys import TRIAL_KEYS
from halfdrop.files.numbers import shown
from halfdrop.files.quantities import read_quantity
from halfdrop.files.text_files import refusal
from halfdrop.files.uncertainties import Around

_STATES = (("rough", State.ROUGH), ("left_out", State.LEFT_OUT), ("abandoned", State.ABANDONED))


@dataclass
class TrialReader:
    """Reads one trial after the other.

    Attributes:
        method: says which series, readings and quantities there are.
        blocks: the blocks of its working, which say which readings make a titre.
        burettes: those of the determination.
        around: what all values have in common.
    """

    method: Method
    blocks: Mapping[str, Block]
    burettes: Burettes
    around: Around
    counts: dict[str, int] = field(default_factory=dict)
    optional: dict[str, frozenset[str]] = field(init=False)
    deliveries: tuple[Delivery, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.deliveries = deliveries(self.method, self.blocks)
        self.optional = {
            name: optional_readings(self.method, self.blocks, name) for name in self.method.series
        }

    @property
    def findings(self) -> list[Finding]:
        """Where findings go."""
        return self.around.findings

    def read(self, tables: Iterable[Fields]) -> list[Trial]:
        """Return the trials of some tables; one whose series is not known is left out, with a finding."""
        return [trial for table in tables if (trial := self.trial(table)) is not None]

    def trial(self, table: Fields) -> Trial | None:
        """Return one trial."""
        series = self.series(table)
        self.counts[series.name] = self.counts.get(series.name, 0) + 1
        label = table.text("no") or str(self.counts[series.name])
        table.spot = replace(table.spot, words=self.words(series, label))
        state, reason = _state(table)
        temperature = table.number("temperature_degC")
        if temperature is not None:
            table.findings.extend(check_temperature(float(temperature), table.place("temperature_degC")))
        trial = Trial(
            label=label,
            series=series.name,
            readings=self.readings(table, series, state),
            refills=self.refills(table, series),
            state=state,
            reason=reason,
            given=self.own(table),
            burette=burette_of(table, self.burettes),
            read_by=table.text("read_by"),
            tap_by=table.text("tap_by"),
            time=table.text("time"),
            temperature_degc=None if temperature is None else float(temperature),
            note=table.text("note"),
            place=table.place(),
        )
        table.finish(*TRIAL_KEYS, *self.method.quantities)
        return trial if series.name in self.method.series else None

    def words(self, series: Series, label: str) -> str:
        """Return what a trial is called in findings: ``trial 3``, ``blank trial 1``."""
        main = series.name == self.method.main_series.name
        return f"trial {label}" if main else f"{series.name} trial {label}"

    def series(self, table: Fields) -> Series:
        """Return the series of a trial; the first of the method when it does not say."""
        name = table.text("series")
        if name and name not in self.method.series:
            says = "; ".join(f"{one.name}: {one.says}" for one in self.method.series.values())
            message = f"There is no series {shown(name)}. {known(name, self.method.series)} ({says})"
            table.say("series-unknown", message, "series", list(self.method.series))
            return replace(self.method.main_series, name=name)
        return self.method.series[name] if name else self.method.main_series

    def readings(self, table: Fields, series: Series, state: State) -> dict[str, Reading]:
        """Return the readings of a trial, in the order in which they were made."""
        found: dict[str, Reading] = {}
        missing = []
        for name in series.readings:
            if not table.has(name):
                missing.append(name)
                continue
            reading, findings = read_text(_reading_text(table.raw(name)), table.place(name))
            table.findings.extend(findings)
            if reading is not None:
                found[name] = reading
        if missing and state is not State.ABANDONED:
            self.say_missing(table, series, missing)
        return found

    def say_missing(self, table: Fields, series: Series, missing: list[str]) -> None:
        """Refuse a trial that lacks readings, but for those of a burette that was not needed."""
        spare = self.optional.get(series.name, frozenset())
        halves = {
            name
            for one in self.deliveries
            if one.series == series.name
            and {one.start, one.end} <= spare
            and {one.start, one.end} - set(missing)
            for name in (one.start, one.end)
        }
        wanted = [name for name in missing if name not in spare or name in halves]
        if wanted:
            message = (
                f"{_listed(wanted)} {'is' if len(wanted) == 1 else 'are'} not written. Write what was "
                'read, or say why the trial ended there: abandoned = "...".'
            )
            self.findings.append(
                refusal("reading-missing", message, table.place(wanted[0]), accepted=list(series.readings))
            )

    def refills(self, table: Fields, series: Series) -> tuple[Refill, ...]:
        """Return the refills of a trial, in the order in which they are written."""
        found = []
        ends = list(dict.fromkeys(one.end for one in self.deliveries if one.series == series.name))
        usual = "final" if "final" in series.readings else series.readings[-1]
        for one in table.subs("refill", "refill"):
            towards = one.choice("towards", ends, usual)
            stops = {}
            for key, example in (("before", '"49.80"'), ("after", '"0.10"')):
                if not one.has(key):
                    one.missing(key, example)
                    continue
                stops[key], findings = read_text(_reading_text(one.raw(key)), one.place(key))
                one.findings.extend(findings)
            one.finish()
            before, after = stops.get("before"), stops.get("after")
            if before is not None and after is not None:
                found.append(Refill(before, after, towards))
        return tuple(found)

    def own(self, table: Fields) -> dict[str, Given]:
        """Return the quantities that a trial has of its own."""
        found = {}
        for name, quantity in self.method.quantities.items():
            if not table.has(name):
                continue
            answer = read_quantity(quantity, table, self.around)
            if answer.link:
                message = f"One file gives {name} for all trials. Write it once, outside the trials."
                table.say("link-in-trial", message, name)
            if answer.given is not None:
                found[name] = answer.given
        return found


def _listed(names: list[str]) -> str:
    """Return names as they are listed in a sentence: ``a, b and c``."""
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def _reading_text(value: object) -> object:
    """Return a reading as text where its digits are still known."""
    text = as_text(value)
    return value if text is None else text


def _state(table: Fields) -> tuple[State, Reason | None]:
    """Return what became of a trial, and why."""
    states: list[tuple[str, State, str]] = []
    if table.flag("rough"):
        states.append(("rough", State.ROUGH, ""))
    for key, state in _STATES[1:]:
        value = table.raw(key)
        if value is None or value is False:
            continue
        why = as_text(value) or ""
        if not why:
            table.say("reason-missing", f'Say why, so that it can be followed later: {key} = "...".', key)
        states.append((key, state, why))
    who, when = table.text("by"), table.text("at")
    if len(states) > 1:
        names = " and ".join(key for key, _, _ in states)
        table.say("states-two", f"A trial is one of these, and {names} are written. Keep one.", states[1][0])
    if not states:
        return State.ACCURATE, None
    _, state, why = states[0]
    return state, None if state is State.ROUGH else Reason(why, who, when)
