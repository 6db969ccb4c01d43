"""From a method to the working of one determination: blocks written out, trials averaged."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.measure.expression import Expression, parse, renamed, symbols
from halfdrop.core.measure.working import ANALYST, CLASS, Input, Step, Working
from halfdrop.core.titration.blocks import Block, filled, segmented, species_name
from halfdrop.core.titration.method import KINDS, Method, Quantity

BLANK = "blank"
_SEGMENTED = re.compile(r"segments\((\w+)")


@dataclass(frozen=True)
class Outline:
    """What a determination brings, as far as it shapes the working.

    Attributes:
        given: names of optional quantities, series and corrections that are there.
        per_trial: quantities that each trial has its own of, and the series it is in.
        segments: series -> the most deliveries (first fill and refills) any of its trials has.
        as_trials: quantities of the kind ``blank`` that are given as a series of trials.
    """

    given: frozenset[str] = frozenset()
    per_trial: Mapping[str, str] = field(default_factory=dict)
    segments: Mapping[str, int] = field(default_factory=dict)

    def averages_results(self, series: str) -> bool:
        """Tell whether trials of a series have their own masses or aliquots: then results are averaged."""
        return series in self.per_trial.values()


@dataclass(frozen=True)
class Built:
    """A working and what is needed to fill it in.

    Attributes:
        working: the calculation.
        fills: input name -> where its value comes from, such as ``given aliquot``.
        averaged: series -> the lines whose trials are averaged.
        titres: series -> its titre lines as read.
        delivered: series -> those of them that together make up what was delivered: without a titre that ends
            on the way to another.
        hides: line -> the line it only repeats while its correction is zero.
        names: name that the method gives a line with ``as`` -> the line.
    """

    working: Working
    fills: Mapping[str, str]
    averaged: Mapping[str, tuple[str, ...]]
    titres: Mapping[str, tuple[str, ...]]
    hides: Mapping[str, str]
    names: Mapping[str, str] = field(default_factory=dict)
    delivered: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


class MethodError(ValueError):
    """A method whose working cannot be put together; says at which entry."""


def build(method: Method, blocks: Mapping[str, Block], outline: Outline) -> Built:
    """Put the working of a method together for what a determination brings.

    Raises:
        MethodError: when an entry names a block, a slot or a symbol that does not exist.
        WorkingError: when the lines contradict themselves (units, roles, trials mixed).
    """
    writer = _Writer(method, blocks, outline)
    for number, entry in enumerate(method.working, 1):
        try:
            writer.entry({str(k): str(v) for k, v in entry.items()})
        except KeyError as error:
            raise MethodError(f"working, entry {number}: {error.args[0]} is not known here") from error
        except ValueError as error:
            raise MethodError(f"working, entry {number}: {error}") from error
    writer.average(final=True)
    return writer.built()


@dataclass
class _Writer:
    """Writes blocks out one after the other, keeping the name of the quantity so far."""

    method: Method
    blocks: Mapping[str, Block]
    outline: Outline
    inputs: dict[str, Input] = field(default_factory=dict)
    steps: dict[str, Step] = field(default_factory=dict)
    fills: dict[str, str] = field(default_factory=dict)
    averaged: dict[str, list[str]] = field(default_factory=dict)
    titres: dict[str, list[str]] = field(default_factory=dict)
    furthest: dict[str, dict[str, str]] = field(
        default_factory=dict
    )  # series -> start -> last titre from there
    hides: dict[str, str] = field(default_factory=dict)
    alias: dict[str, str] = field(default_factory=dict)
    so_far: str = ""

    def built(self) -> Built:
        used = {name for step in self.steps.values() for name in symbols(step.formula)}
        inputs = {name: one for name, one in self.inputs.items() if name in used}
        return Built(
            Working(inputs, self.steps),
            {name: fill for name, fill in self.fills.items() if name in used},
            {name: tuple(lines) for name, lines in self.averaged.items()},
            {name: tuple(lines) for name, lines in self.titres.items()},
            self.hides,
            dict(self.alias),
            {name: tuple(from_there.values()) for name, from_there in self.furthest.items()},
        )

    def entry(self, entry: dict[str, str]) -> None:
        """Write one entry of the method's working: a block, or a line of its own."""
        wanted, unwanted = _conditions(entry.pop("when", "")), _conditions(entry.pop("unless", ""))
        if not wanted <= self.outline.given or unwanted & self.outline.given:
            return
        name = entry.pop("as", "")
        if "line" in entry:
            entry["says"] = entry.get("says") or entry["line"]
            self._line({"name": entry.pop("line"), **entry}, self._plain(entry))
        elif entry["block"] == "average":
            self._average_of(entry.get("of", ""), titres=entry.get("only") == "titres")
        else:
            self._block(entry.pop("block"), entry)
        if name:
            self.alias[name] = self.so_far

    def _average_of(self, line: str, *, titres: bool) -> None:
        """Average a line that the method names; titres only where no trial has its own mass or aliquot."""
        self.so_far = self.alias.get(line, line) or self.so_far
        if not (titres and self.outline.averages_results(self._scope(self.so_far))):
            self.average()

    def average(self, *, final: bool = False) -> None:
        """Average over the trials if the quantity so far still differs by trial."""
        scope = self._scope(self.so_far)
        if scope in (CLASS, ANALYST):
            return
        line = self.steps[self.so_far]
        first = line
        while first.name in self.hides:
            first = self.steps[self.hides[first.name]]
        mean = f"mean_{first.name}"
        what = "mean of the results" if final or self.outline.averages_results(scope) else "mean titre"
        self._step(Step(mean, f"bar({first.symbol})", line.unit, parse(f"mean({line.name})"), "mean", what))
        scatter = f"scatter_{first.name}"
        self._input(
            Input(scatter, f"delta_({first.symbol})", line.unit, "repeatability", ANALYST, "repeatability",
                  f"repeatability of the {what}"),
            f"scatter {scope} {line.name}",
        )  # fmt: skip
        formula = parse(f"{mean} + {scatter}")
        repeated = Step(f"{mean}_rep", f"bar({first.symbol})", line.unit, formula, "repeatability", what)
        self._step(repeated)
        self.hides[repeated.name] = mean
        self.averaged.setdefault(scope, []).append(line.name)
        self.alias |= {name: repeated.name for name, of in self.alias.items() if of == line.name}

    def _block(self, name: str, given: dict[str, str], *, aside: bool = False) -> None:
        if name not in self.blocks:
            raise ValueError(f"there is no block '{name}'; known are {', '.join(sorted(self.blocks))}")
        block = self.blocks[name]
        unknown = sorted(set(given) - set(block.takes) - {"tag"})
        missing = sorted(k for k, v in block.takes.items() if v == "" and k not in given)
        if unknown or missing:
            wrong = [f"{one} is not known to it" for one in unknown] + [
                f"{one} is missing" for one in missing
            ]
            takes = ", ".join(block.takes) or "nothing"
            raise ValueError(f"block '{name}' takes {takes}; {'; '.join(wrong)}")
        slots = {**block.takes, **given}
        look_up = self._slots(slots)
        before, self.so_far = self.so_far, "" if block.opens else self.so_far
        for part in block.before:
            inner = {k: filled(v, look_up) for k, v in part.items()}
            self._block(inner.pop("block"), inner, aside=True)
        for kind, fields in block.parts:
            if filled(fields.get("when", ""), look_up) in ("", *self.outline.given):
                (self._block_input if kind == "input" else self._line)(fields, look_up)
        if name == "titre":
            self._after_titre(slots)
        if aside:
            self.so_far = before

    def _after_titre(self, slots: dict[str, str]) -> None:
        series = slots["series"]
        titre = f"titre{_tag(slots)}"
        self.titres.setdefault(series, []).append(titre)
        self.furthest.setdefault(series, {})[slots["from"]] = titre
        if slots["mean"] == "later":
            return
        if series == BLANK or not self.outline.averages_results(series):
            self.average()

    def _block_input(self, fields: Mapping[str, str], look_up: Callable[[str, str], str]) -> None:
        text = {k: filled(v, look_up) for k, v in fields.items()}
        count = self.outline.segments.get(text.get("scope", ""), 1) if text["role"] == "reading" else 1
        for k in range(1, count + 1):
            end = "" if k == 1 else f"_{k}"
            fill = text["fill"] + (f" {k}" if text["role"] == "reading" else "")
            symbol = text["symbol"] if k == 1 else text["symbol"].replace(")", f",{k})")
            one = Input(text["name"] + end, symbol, text["unit"], text["role"], text.get("scope", ANALYST),
                        text.get("group", text["role"]), text["says"])  # fmt: skip
            self._input(one, fill)

    def _line(self, fields: Mapping[str, str], look_up: Callable[[str, str], str]) -> None:
        text = {k: filled(v, look_up) for k, v in fields.items()}
        if text["name"] in self.steps:
            self.so_far = text["name"]
            return
        formula = self._formula(text["formula"])
        before = self.so_far
        self._step(Step(text["name"], text["symbol"], text["unit"], formula, text["role"], text["says"]))
        if text["role"] in ("scale", "temperature", "end point"):
            self.hides[text["name"]] = symbols(formula)[0] if before == "" else before

    def _formula(self, text: str) -> Expression:
        """Read a formula: refills, molar masses and names given with ``as`` are written out."""
        if text.startswith("molar_mass("):
            return parse(self._molar_mass(text[len("molar_mass(") : -1]))
        first = _SEGMENTED.search(text)
        count = self.outline.segments.get(self.inputs[first[1]].scope, 1) if first else 1
        formula = renamed(parse(segmented(text, count)), self.alias)
        for name in symbols(formula):
            if name not in self.steps and name not in self.inputs:
                self._quantity(name)
        return formula

    def _molar_mass(self, species: str) -> str:
        formula = parse_formula(species)
        for element in formula.counts:
            one = Input(f"A_{element}", f"A_({element})", "g/mol", "molar mass", CLASS, "molar mass",
                        f"atomic weight of {element}")  # fmt: skip
            self._input(one, f"element {element}")
        return " + ".join(f"A_{e}" if k == 1 else f"{k} * A_{e}" for e, k in formula.counts.items())

    def _quantity(self, name: str) -> None:
        if name not in self.method.quantities:
            raise KeyError(f"'{name}'")
        quantity = self.method.quantities[name]
        role, group, _ = KINDS[quantity.kind]
        role, scope = quantity.role or role, self.outline.per_trial.get(name, ANALYST)
        if f"{name} by difference" in self.outline.given:
            self._difference(quantity, role, group, scope)
            return
        one = Input(name, quantity.symbol, quantity.unit, role, scope, group, quantity.says)
        self._input(one, f"given {name}")

    def _difference(self, quantity: Quantity, role: str, group: str, scope: str) -> None:
        """Write a mass by difference as a line of its own: forgetting the tare is a slip."""
        for part, mark in (("gross", "1"), ("tare", "0")):
            name, symbol = f"{quantity.name}_{part}", f"{quantity.symbol}_({mark})"
            says = f"{quantity.says}, {part}"
            one = Input(name, symbol, quantity.unit, role, scope, group, says)
            self._input(one, f"weighed {quantity.name} {part}")
        formula = parse(f"{quantity.name}_gross - {quantity.name}_tare")
        so_far = self.so_far
        self._step(Step(quantity.name, quantity.symbol, quantity.unit, formula, role, quantity.says))
        self.so_far = so_far

    def _input(self, one: Input, fill: str) -> None:
        self.inputs.setdefault(one.name, one)
        self.fills.setdefault(one.name, fill)

    def _step(self, step: Step) -> None:
        self.steps[step.name] = step
        self.so_far = step.name

    def _scope(self, name: str) -> str:
        """Whose quantity a line is: that of what it uses, unless it is a mean."""
        if name in self.inputs:
            return self.inputs[name].scope
        step = self.steps[name]
        if step.role in ("mean", "repeatability"):
            return ANALYST
        scopes = [self._scope(used) for used in symbols(step.formula)]
        return next((s for s in scopes if s not in (CLASS, ANALYST)), ANALYST)

    def _plain(self, fields: Mapping[str, str]) -> Callable[[str, str], str]:
        return self._slots({"tag": fields.get("tag", "")})

    def _slots(self, given: dict[str, str]) -> Callable[[str, str], str]:
        def look_up(slot: str, part: str) -> str:
            tag = given.get("tag", "")
            if slot == "tag":
                return f"_{tag}" if tag else ""
            if slot == "_tag":
                return f"_({tag})" if tag else ""
            if slot == ",tag":
                return f",{tag}" if tag else ""
            value = self.so_far if slot == "x" else given[slot]
            value = self.alias.get(value, value)
            return self._part(value, part) if part else value

        return look_up

    def _part(self, value: str, part: str) -> str:
        if part == "name":
            return species_name(value)
        if part == "symbol" and value in self.steps:
            return self.steps[value].symbol
        quantity: Quantity = self.method.quantities[value]
        return str(getattr(quantity, part))


def _conditions(text: str) -> frozenset[str]:
    """Return the conditions of an entry: ``flask and holds carbonate`` are two."""
    return frozenset(text.split(" and ")) if text else frozenset()


def _tag(slots: Mapping[str, str]) -> str:
    return f"_{slots['tag']}" if slots.get("tag") else ""
