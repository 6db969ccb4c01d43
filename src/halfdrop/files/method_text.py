"""From the text of a method file to a method: every table asked for, every complaint gathered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from halfdrop.core.findings import Finding, Place
from halfdrop.core.titration.method import (
    KINDS,
    LEVELS,
    Agreement,
    Case,
    Cases,
    Indicator,
    Method,
    Outcome,
    Quantity,
    Safety,
    Series,
)
from halfdrop.core.titration.selection_rules import RULES
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields, Range, Spot, as_text
from halfdrop.files.keys import TOP_KEYS, TRIAL_KEYS
from halfdrop.files.text_files import refusal, refuses
from halfdrop.files.toml_text import TomlText

CHEMISTRIES = ("acid-base", "redox", "complexation", "precipitation")
_CAUTIONS = ("hood", "substitute", "protection", "spill", "eyes", "waste", "never_mix", "source")
_Named = TypeVar("_Named", Quantity, Series)


@dataclass(frozen=True)
class MethodText:
    """A method as its file has it.

    Attributes:
        method: the method, None when something that it needs is missing or wrong.
        findings: everything noticed.
        places: part of the method in words (``working, entry 3``) -> where it stands.
    """

    method: Method | None
    findings: tuple[Finding, ...]
    places: Mapping[str, Place]


def method_from(toml: TomlText, name: str) -> MethodText:
    """Read a method from a parsed file; its chemistry and working are checked elsewhere.

    Args:
        toml: the file.
        name: what a determination calls the method.
    """
    findings: list[Finding] = []
    reader = _Reader(Fields(toml.data, Spot(toml), findings))
    method = reader.method(name)
    return MethodText(None if refuses(findings) else method, tuple(findings), reader.places)


@dataclass
class _Reader:
    """Reads the tables of one file; remembers where each part stands."""

    top: Fields
    places: dict[str, Place] = field(default_factory=dict)

    def method(self, name: str) -> Method:
        top = self.top
        result, expected = self.table("result"), self.table("expected")
        repeatability, keeps = self.table("repeatability"), self.table("keeps", needed=False)
        method = Method(
            name=name,
            title=top.text("title", example='"Acetic acid in vinegar"'),
            about=top.text("about", example='"What it is for, in a sentence or two."'),
            kind=_needed_choice(top, "kind", CHEMISTRIES),
            analyte=top.text("analyte", example='"CH3COOH"'),
            equations=self.texts_by_name("equations", example='main = "HCl + NaOH -> NaCl + H2O"'),
            through=top.texts("through"),
            conditions=self.needed_texts("conditions", '["The vinegar is pale."]'),
            indicators=tuple(_indicator(one) for one in self.tables("indicator")),
            quantities=self.by_name(_quantity(one) for one in self.tables("quantity")),
            series=self.by_name(_series(one) for one in self.tables("series")),
            agreement=_agreement(self.table("agreement")),
            working=tuple(_entry(one) for one in self.tables("working")),
            result_symbol=result.text("symbol", example='"c_(NaOH)"'),
            result_says=result.text("says", example='"amount concentration of the titrant"'),
            titre_ml=_titres(expected),
            repeatability_ml=_digits(repeatability, "sd_mL", ABOVE_ZERO, '"0.04"'),
            repeatability_source=repeatability.text("source", example='"common practice, no source"'),
            safety=self.safety(),
            sources=self.needed_texts("sources", '["author, title, edition, page"]'),
            keeps_days=keeps.whole("days", 1),
            keeps_source=keeps.text("source"),
            results=tuple(_outcome(one) for one in self.top.subs("results")),
            cases=self.cases(),
        )
        for one in (result, expected, repeatability, keeps, top):
            one.finish()
        return method

    def table(self, key: str, *, needed: bool = True) -> Fields:
        """Return a table; a needed one that is missing is a finding, and is returned empty."""
        found = self.top.sub(key)
        if found is not None:
            self.places[key] = found.place()
            return found
        if needed and not self.top.has(key):
            self.top.say("table-missing", f"The table [{key}] is missing. Every method has one.", key)
        return Fields({}, self.top.spot.at(key), [])

    def tables(self, key: str) -> list[Fields]:
        """Return the tables of a list that has at least one, and remember where they stand."""
        found = list(self.top.subs(key))
        if not self.top.has(key):
            self.top.say("table-missing", f"No [[{key}]] is written. Every method has at least one.", key)
        for number, one in enumerate(found, 1):
            name = as_text(one.table.get("name")) or ""
            words = f"{key}, entry {number}" if key == "working" else f"{key} {name or number}"
            self.places[words] = one.place()
        return found

    def by_name(self, found: Iterable[_Named]) -> dict[str, _Named]:
        """Return what was read by its name; a name that occurs twice is a finding."""
        named: dict[str, _Named] = {}
        for one in found:
            if one.name and one.name in named:
                words = f"{type(one).__name__.lower()} {one.name}"
                place = self.places.get(words, self.top.place())
                self.top.findings.append(refusal("name-twice", f"{one.name} is named twice.", place))
            named[one.name] = one
        return named

    def texts_by_name(self, key: str, example: str = "") -> dict[str, str]:
        """Return a table of texts. With an example it has at least one."""
        table = self.table(key, needed=bool(example))
        found = {str(name): table.text(str(name)) for name in table.table}
        self.places |= {f"{key}, {name}": table.place(name) for name in found}
        if example and self.top.has(key) and not any(found.values()):
            table.say("table-empty", f"[{key}] is empty. Write it like this: {example}.")
        return found

    def needed_texts(self, key: str, example: str) -> tuple[str, ...]:
        found = self.top.texts(key)
        if not found and not self.top.has(key):
            self.top.missing(key, example)
        return found

    def cases(self) -> Cases | None:
        """Return how a mixture is told, for a method that has to tell one."""
        if not self.top.has("cases"):
            return None
        table = self.table("cases")
        by_name: dict[str, Case] = {}
        for one in table.subs("case"):
            name = one.text("name", example='"both"')
            by_name[name] = Case(
                name, one.text("says", example='"hydroxide and carbonate"'), one.texts("holds")
            )
            one.finish()
        found = Cases(table.text("rule", example='"two end points"'), table.texts("looks_at"), by_name)
        if not by_name and not table.has("case"):
            table.missing("case", '[{ name = "both", says = "...", holds = ["..."] }]')
        if not found.looks_at:
            table.missing("looks_at", '["to_first", "to_second"]')
        table.finish()
        return found

    def safety(self) -> Safety:
        """Return the cautions; a method without them is not used."""
        if not self.top.has("safety"):
            message = (
                "This method has no safety data, so it is not used. Add [safety] with "
                f"level ({', '.join(LEVELS)}), {', '.join(_CAUTIONS)} and [[safety.hazard]]."
            )
            self.top.say("safety-missing", message, "safety")
        table = self.top.sub("safety") or Fields({}, self.top.spot.at("safety"), [])
        cautions = {key: "; ".join(table.texts(key)) for key in _CAUTIONS}
        for key, text in cautions.items():
            if not text and not table.has(key):
                table.missing(key, '"..."')
        hazards = []
        for one in table.subs("hazard"):
            what = one.text("what", example='"0.1 mol/L NaOH"')
            if "codes" not in one.table:
                one.missing("codes", '["H315"], or [] where there is none')
            hazards.append((what, one.texts("codes")))
            self.places[f"safety, {what}"] = one.place("codes")
            one.finish()
        if not hazards and not table.has("hazard"):
            table.missing("hazard", '[{ what = "0.1 mol/L NaOH", codes = ["H315"] }]')
        safety = Safety(
            level=_needed_choice(table, "level", LEVELS),
            hazards=tuple(hazards),
            note=table.text("note"),
            **cautions,
        )
        table.finish()
        return safety


def _needed_choice(table: Fields, key: str, options: tuple[str, ...]) -> str:
    if not table.has(key):
        table.missing(key, " or ".join(f'"{one}"' for one in options))
    return table.choice(key, options)


def _digits(table: Fields, key: str, allowed: Range = ANY, example: str = "") -> str:
    """Return a number as text with a point, or "" when there is none."""
    number = table.number(key, allowed, example)
    return "" if number is None else str(number.value)


def _indicator(table: Fields) -> Indicator:
    found = Indicator(
        name=table.text("name", example='"phenolphthalein"'),
        before=table.text("before", example='"colourless"'),
        after=table.text("after", example='"first lasting pink"'),
        amount=table.text("amount"),
        note=table.text("note"),
    )
    table.finish()
    return found


def _outcome(table: Fields) -> Outcome:
    found = Outcome(
        table.text("as", example='"concentration"'),
        table.text("symbol", example='"c_(NaOH)"'),
        table.text("says", example='"amount concentration of the titrant"'),
    )
    table.finish()
    return found


def _quantity(table: Fields) -> Quantity:
    found = Quantity(
        name=table.text("name", example='"titrant"'),
        kind=_needed_choice(table, "kind", tuple(KINDS)),
        unit=table.text("unit", example='"mol/L"'),
        symbol=table.text("symbol", example='"c_(NaOH)"'),
        says=table.text("says", example='"concentration of the titrant"'),
        species=table.text("species"),
        role=table.text("role"),
        per_trial=table.flag("per_trial"),
        optional=table.flag("optional"),
        value=_digits(table, "value"),
        limits=_digits(table, "limits", NOT_NEGATIVE),
        source=table.text("source"),
        typical=table.text("typical"),
    )
    if found.name in TOP_KEYS or found.name in TRIAL_KEYS:
        message = f"'{found.name}' means something else in a determination. Give the quantity another name."
        table.say("name-taken", message, "name")
    if found.value and not found.source:
        table.missing("source", '"where the value comes from"')
    if found.limits and not found.value:
        table.say(
            "limits-alone",
            "limits are given without the value they belong to. Write value as well.",
            "limits",
        )
    table.finish()
    return found


def _series(table: Fields) -> Series:
    found = Series(
        name=table.text("name", example='"sample"'),
        says=table.text("says", example='"vinegar, diluted, titrated with the hydroxide"'),
        readings=table.texts("readings") or ("initial", "final"),
        optional=table.flag("optional"),
    )
    if taken := [name for name in found.readings if name in TRIAL_KEYS]:
        message = f"{', '.join(taken)} has a meaning of its own in a trial. Give the reading another name."
        table.say("name-taken", message, "readings")
    table.finish()
    return found


def _agreement(table: Fields) -> Agreement:
    found = Agreement(
        rule=_needed_choice(table, "rule", tuple(RULES)),
        limit_ml=_digits(table, "limit_mL", ABOVE_ZERO, '"0.10"'),
        wanted=table.whole("wanted", 1) or 1,
        source=table.text("source", example='"common practice, no source"'),
    )
    table.finish()
    return found


def _titres(table: Fields) -> tuple[str, str]:
    """Return the expected titre from and to, mL."""
    numbers = table.numbers("titre_mL", ABOVE_ZERO)
    table.text("source", example='"common practice, no source"')
    if not table.has("titre_mL"):
        table.missing("titre_mL", '["20", "30"]')
    elif numbers and (len(numbers) != 2 or numbers[0].value > numbers[1].value):
        table.say("expected-titre", 'Two titres are wanted, the smaller first: ["20", "30"].', "titre_mL")
    low, high = (numbers[0], numbers[-1]) if numbers else ("", "")
    return (
        (str(low.value), str(high.value))
        if not isinstance(low, str) and not isinstance(high, str)
        else ("", "")
    )


def _entry(table: Fields) -> dict[str, object]:
    """Return one entry of the working; what its keys mean is checked with the blocks at hand."""
    return {str(key): table.text(str(key)) for key in table.table}
