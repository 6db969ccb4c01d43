"""Reading a determination: a page of readings, everything around it, and every complaint at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from halfdrop.core.findings import Finding
from halfdrop.core.titration.method import Method, Quantity
from halfdrop.core.titration.record import Choice, Determination, Given, Trial
from halfdrop.files.burettes import Burettes, read_burettes
from halfdrop.files.completeness import check_complete
from halfdrop.files.digests import joined
from halfdrop.files.fields import Fields, Spot
from halfdrop.files.many import told_in_few
from halfdrop.files.methods import TITRANT, read_method, shipped_blocks, shipped_method_names
from halfdrop.files.quantities import LINKABLE, methods_value, read_quantity
from halfdrop.files.settings import (
    read_balance,
    read_choice,
    read_coverage,
    read_end_point,
    read_repeatability,
    read_room,
    read_weights,
)
from halfdrop.files.text_files import refusal, refuses
from halfdrop.files.toml_text import TomlText, read_toml
from halfdrop.files.trial_checks import Page, check_page
from halfdrop.files.trial_tables import read_trial_table
from halfdrop.files.trials import TrialReader
from halfdrop.files.uncertainties import Around

Read = tuple[Determination | None, Method | None, tuple[Finding, ...]]


def read_determination(path: Path) -> Read:
    """Read a determination from its file, its table of trials and its method.

    Args:
        path: the TOML file. Paths in it start from its folder.

    Returns:
        The determination and its method, None where they cannot be used, and everything noticed in either.
    """
    toml, findings = read_toml(path)
    if toml is None:
        return None, None, tuple(findings)
    return determination_from(toml, path)


def determination_from(toml: TomlText, path: Path) -> Read:
    """Read a determination from the parsed text of its file.

    Args:
        toml: the text.
        path: where the file stands or would stand; its name is kept and its folder is where paths start.
    """
    reader = _Reader(Fields(toml.data, Spot(toml), []), path, toml.digest)
    determination, method = reader.read()
    return determination, method, told_in_few(reader.findings)


@dataclass
class _Values:
    """Quantities that hold for the whole determination."""

    given: dict[str, Given] = field(default_factory=dict)
    links: dict[str, str] = field(default_factory=dict)
    standardised: str = ""
    bottle: str = ""
    titrant_degc: float | None = None


@dataclass
class _Reader:
    """Reads one file from top to bottom."""

    top: Fields
    path: Path
    digest: str

    @property
    def findings(self) -> list[Finding]:
        """Everything noticed so far."""
        return self.top.findings

    def read(self) -> tuple[Determination | None, Method | None]:
        top = self.top
        method = self.method()
        day, bottle = top.date("date"), top.text("bottle")
        room, titrant_degc = read_room(top, day)
        burettes = read_burettes(top, self.path.parent)
        around = Around(self.findings, read_balance(top), bottle)
        choice, repeatability = read_choice(top), read_repeatability(top)
        end_point, coverage = read_end_point(top), read_coverage(top)
        weights, interval_value = read_weights(top)
        notes = (*top.texts("notes"), *(f"bench {text}" for text in [top.text("bench")] if text))
        sample, analyst = top.text("sample", example='"Wine vinegar, bottle 3"'), top.text("analyst")
        if method is None:
            return None, None
        values = self.values(method, around, titrant_degc)
        trials = self.trials(method, burettes, around, choice)
        around.say_if_weighed_without(top)
        top.finish()
        determination = Determination(
            method=method.name, sample=sample, burette=burettes.usual or _first_named(trials),
            burettes=burettes.by_id, room=room, given=values.given, links=values.links, trials=tuple(trials),
            analyst=analyst, date=day, bottle=bottle or values.bottle, second_burette=burettes.second,
            titrant_degc=values.titrant_degc, repeatability=repeatability, choice=choice, end_point=end_point,
            coverage=coverage, weights=weights, interval_value=interval_value,
            standardised=values.standardised, notes=notes, file=self.path.name, digest=self.digest,
        )  # fmt: skip
        self.findings.extend(check_complete(method, shipped_blocks(), determination, top))
        return (None if refuses(self.findings) else determination), method

    def method(self) -> Method | None:
        """Return the method that the file names."""
        top, names = self.top, shipped_method_names()
        if not top.has("method"):
            message = f'The method is not named. Write method = "...", one of: {", ".join(names)}.'
            top.say("method-missing", message, "method", list(names))
        name = top.text("method")
        if not name:
            return None
        method, findings = read_method(name, self.path.parent, top.place("method"))
        self.findings.extend(findings)
        return method

    def values(self, method: Method, around: Around, titrant_degc: float | None) -> _Values:
        """Return the quantities that hold for all trials, those that the method supplies included."""
        found = _Values(titrant_degc=titrant_degc)
        for name, quantity in method.quantities.items():
            if self.top.has(name):
                self.value(found, quantity, around)
            elif quantity.value:
                found.given[name] = methods_value(quantity)
        return found

    def value(self, found: _Values, quantity: Quantity, around: Around) -> None:
        answer = read_quantity(quantity, self.top, around)
        if answer.given is not None:
            found.given[quantity.name] = answer.given
        if answer.link:
            found.links[quantity.name] = answer.link
        elif quantity.kind == LINKABLE:
            found.standardised = found.standardised or answer.standardised
        if quantity.name != TITRANT:
            return
        found.bottle = answer.id
        if answer.temperature_degc is None:
            return
        if found.titrant_degc not in (None, answer.temperature_degc):
            message = (
                "The temperature of the titrant stands here and under [room], and they differ. Keep one."
            )
            place = self.top.spot.at(TITRANT, "temperature_degC").place()
            self.findings.append(refusal("temperature-twice", message, place, answer.temperature_degc))
        found.titrant_degc = answer.temperature_degc

    def trials(self, method: Method, burettes: Burettes, around: Around, choice: Choice) -> list[Trial]:
        """Return the trials of the table, if there is one, and of the file, and look at them together."""
        reader = TrialReader(method, shipped_blocks(), burettes, around)
        trials: list[Trial] = []
        if self.top.has("trials_file"):
            trials += reader.read(self.table(method))
        trials += reader.read(self.top.subs("trial", "trial"))
        page = Page(method, reader.deliveries, trials, burettes, choice, self.top.place())
        self.findings.extend(check_page(page))
        return trials

    def table(self, method: Method) -> list[Fields]:
        """Return the rows of the table of trials, each as the fields of a trial."""
        name = self.top.text("trials_file")
        if not name:
            return []
        rows, content = read_trial_table(self.path.parent / name, method, self.findings)
        self.digest = joined(self.digest, content)
        return rows


def _first_named(trials: list[Trial]) -> str:
    """Return the burette that stands for the determination where every trial names its own."""
    return next((trial.burette for trial in trials if trial.burette), "")
