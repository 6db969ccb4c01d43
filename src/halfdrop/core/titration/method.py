"""A method as data: what is titrated with what, what must be given, and how the result is worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# kind of quantity -> (role of the input, heading in the budget, is it a volume that temperature changes)
KINDS: dict[str, tuple[str, str, bool]] = {
    "concentration": ("titrant", "titrant", False),
    "pipette": ("aliquot", "glassware", True),
    "flask": ("dilution", "glassware", True),
    "volume": ("aliquot", "glassware", True),
    "mass": ("mass", "mass", False),
    "purity": ("purity", "purity", False),
    "density": ("density", "density", False),
    "molar mass": ("molar mass", "molar mass", False),
    "number": ("factor", "factor", False),
    "blank": ("blank", "blank", False),
}
LEVELS = ("demonstration", "supervised", "any class")


@dataclass(frozen=True)
class Quantity:
    """Something a determination has to give, or may give.

    Attributes:
        name: key in the determination file and name in the working.
        kind: one of :data:`KINDS`.
        unit: unit in which the working takes it.
        symbol: how it is set on the page.
        says: what it is.
        species: formula of the substance, for a concentration or a mass.
        role: role in the working; "" means that of the kind.
        per_trial: whether each trial usually has its own.
        optional: whether it may be missing; lines that need it are then left out.
        value: what is taken when it is not given, or "".
        limits: half-width of what is taken, or "" (rectangular).
        source: where ``value`` comes from.
        typical: an example value for a first file.
    """

    name: str
    kind: str
    unit: str
    symbol: str
    says: str
    species: str = ""
    role: str = ""
    per_trial: bool = False
    optional: bool = False
    value: str = ""
    limits: str = ""
    source: str = ""
    typical: str = ""


@dataclass(frozen=True)
class Series:
    """A series of trials: its name, what is titrated in it, and the readings each trial has, in order."""

    name: str
    says: str
    readings: tuple[str, ...] = ("initial", "final")
    optional: bool = False


@dataclass(frozen=True)
class Agreement:
    """When trials agree and which are averaged: rule, limit in mL, how many are wanted, and who says so."""

    rule: str
    limit_ml: str
    wanted: int
    source: str


@dataclass(frozen=True)
class Indicator:
    """What shows the end point: name, colours before and after, how much, and what to know."""

    name: str
    before: str
    after: str
    amount: str = ""
    note: str = ""


@dataclass(frozen=True)
class Safety:
    """The safety data of a method; a method without it is refused (see the guide on cautions)."""

    level: str
    hood: str
    substitute: str
    protection: str
    spill: str
    eyes: str
    waste: str
    never_mix: str
    hazards: tuple[tuple[str, tuple[str, ...]], ...]  # solution or substance -> H and P codes
    note: str
    source: str


@dataclass(frozen=True)
class Outcome:
    """One of the results of a method that has several.

    Attributes:
        name: the name that its line has in the working (given with ``as``); no line, no result.
        symbol: how it is set on the page.
        says: what it is.
    """

    name: str
    symbol: str
    says: str


@dataclass(frozen=True)
class Case:
    """One composition that a mixture may have: its name, in words, and which components it holds."""

    name: str
    says: str
    holds: tuple[str, ...]


@dataclass(frozen=True)
class Cases:
    """How the composition of a mixture is told before its working is chosen.

    Attributes:
        rule: name of a rule in :mod:`halfdrop.core.titration.cases`.
        looks_at: lines of the working that the rule takes, in its order, by the names given with ``as``.
        by_name: the compositions.
    """

    rule: str
    looks_at: tuple[str, ...]
    by_name: Mapping[str, Case]

    def given(self, case: str) -> frozenset[str]:
        """Return what entries of the working may ask for in a case: ``told``, ``case x`` and ``holds y``."""
        holds = (f"holds {component}" for component in self.by_name[case].holds)
        return frozenset(("told", f"case {case}", *holds))


@dataclass(frozen=True)
class Method:
    """One method, read from its file and checked.

    Attributes:
        name: file name without ending; what a determination calls it.
        title, about: what it is for, in words.
        kind: acid-base, redox, complexation or precipitation.
        analyte: what the result is about, formula or words.
        equations: name -> reaction equation; half-reactions are combined before use.
        through: species that are made and used up between equations, to be eliminated.
        conditions: what must hold for the chemistry to be true.
        quantities, series: what a determination gives.
        working: the blocks and lines of the calculation, in order.
        result_symbol, result_says: how the result is named.
        results: all results, when there are several; else empty, and the last line is the result.
        cases: how a mixture is told, when the working depends on what it holds.
        titre_ml: expected titre (low, high).
        repeatability_ml: typical standard deviation of one titre, with its source.
        shelf_days: kind of titrant -> days after which it should be standardised again.
    """

    name: str
    title: str
    about: str
    kind: str
    analyte: str
    equations: Mapping[str, str]
    through: tuple[str, ...]
    conditions: tuple[str, ...]
    indicators: tuple[Indicator, ...]
    quantities: Mapping[str, Quantity]
    series: Mapping[str, Series]
    agreement: Agreement
    working: tuple[Mapping[str, object], ...]
    result_symbol: str
    result_says: str
    titre_ml: tuple[str, str]
    repeatability_ml: str
    repeatability_source: str
    safety: Safety
    sources: tuple[str, ...]
    keeps_days: int | None = None
    keeps_source: str = ""
    results: tuple[Outcome, ...] = ()
    cases: Cases | None = None

    @property
    def main_series(self) -> Series:
        """The series that a trial belongs to when it does not say."""
        return next(iter(self.series.values()))
