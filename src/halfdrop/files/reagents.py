"""Reagents and streams of waste: those that are shipped, and those of a person's own file.

A file of reagents has the cautions of its family, and a list of reagents; what a reagent says itself goes
before what its family says. A reagent that nothing is known about that matters for safety is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from importlib import resources
from pathlib import Path

from halfdrop.core.chemistry.formula import FormulaError, parse_formula
from halfdrop.core.chemistry.hazards import UnknownStatement, statement
from halfdrop.core.findings import Finding, refuse_if_any
from halfdrop.core.solutions.labelling import DANGER, WARNING, NoLabelElement, label_elements
from halfdrop.core.solutions.reagent import (
    PRIMARY,
    SECONDARY,
    Assay,
    Band,
    BatchLimit,
    Cautions,
    Extra,
    Heat,
    Keeping,
    Reagent,
    State,
    Step,
    Stream,
    When,
)
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, Spot
from halfdrop.files.toml_text import TomlText, parse_toml, read_toml

FRACTION = Range("above 0, and 1 at most", lambda value: 0 < value <= 1)
SIGNALS = (DANGER, WARNING)
_CAUTIONS = ("level", "hood", "substitute", "protection", "spill", "eyes", "never_mix", "source")
_FAMILY = (*_CAUTIONS, "waste")


@lru_cache(maxsize=1)
def shipped_reagents() -> Mapping[str, Reagent]:
    """Return the shipped reagents by name.

    Raises:
        Refused: when one of them is not right, which the project's tests would have found.
    """
    found: dict[str, Reagent] = {}
    folder = resources.files("halfdrop") / "data" / "reagents"
    for entry in sorted(folder.iterdir(), key=lambda one: one.name):
        if not entry.name.endswith(".toml"):
            continue
        toml, findings = parse_toml(entry.read_bytes(), f"reagents/{entry.name}")
        refuse_if_any(findings)
        if toml is not None:
            reagents, findings = reagents_from(toml)
            refuse_if_any(findings)
            found |= {one.name: one for one in reagents}
    return found


@lru_cache(maxsize=1)
def shipped_streams() -> Mapping[str, Stream]:
    """Return the shipped streams of waste by name."""
    data = (resources.files("halfdrop") / "data" / "waste.toml").read_bytes()
    toml, findings = parse_toml(data, "waste.toml")
    refuse_if_any(findings)
    if toml is None:  # pragma: no cover - refused above
        return {}
    top = Fields(toml.data, Spot(toml), findings)
    streams = [_stream(row) for row in top.subs("stream")]
    top.finish()
    refuse_if_any(findings)
    return {one.name: one for one in streams}


def read_reagents(path: Path, shown: str = "") -> tuple[tuple[Reagent, ...], list[Finding]]:
    """Read a person's own file of reagents: those that can be used, and everything noticed."""
    toml, findings = read_toml(path, shown)
    return ((), findings) if toml is None else reagents_from(toml)


def reagents_from(toml: TomlText) -> tuple[tuple[Reagent, ...], list[Finding]]:
    """Return the reagents of a file, and everything noticed."""
    findings: list[Finding] = []
    top = Fields(toml.data, Spot(toml), findings)
    table = top.sub("cautions")
    family = {key: table.text(key) for key in _FAMILY} if table else {}
    if table:
        table.finish()
    rows = list(top.subs("reagent"))
    bands = {row.text("name"): row for row in rows if row.has("bands")}
    reagents = [_reagent(row, family, bands) for row in rows]
    top.finish()
    return tuple(one for one in reagents if one is not None), findings


def _reagent(row: Fields, family: Mapping[str, str], bands: Mapping[str, Fields]) -> Reagent | None:
    before = len(row.findings)
    name, formula = row.text("name", example='"sodium-hydroxide"'), row.text("formula", example='"NaOH"')
    state = State(row.choice("state", [one.value for one in State], State.SOLID.value))
    standard = row.choice("standard", (PRIMARY, SECONDARY), SECONDARY)
    why = row.text("why_secondary", example='"it draws water"' if standard == SECONDARY else "")
    title, gives = row.text("title", name), row.texts("gives") or (formula,)
    _check_formulas(row, (formula,))
    assays = _assays(row, state)
    heat = _heat(row)
    codes = _codes(row, "codes")
    strengths, strengths_source = _bands(row, bands)
    cautions = _cautions(row, family)
    waste = row.text("waste", family.get("waste", ""), "" if family.get("waste") else '"drain"')
    streams = shipped_streams()
    if waste and waste not in streams:
        row.say(
            "waste-unknown", f"There is no stream of waste {waste!r}. Known: {', '.join(streams)}.", "waste"
        )
    keeping, extras = _keeping(row), tuple(_extra(one) for one in row.subs("extras", "extra"))
    steps, standardise = tuple(_step(one) for one in row.subs("steps", "step")), row.texts("standardise_by")
    limit, hygroscopic = _batch_limit(row, state), row.flag("hygroscopic")
    row.finish()
    if len(row.findings) > before or cautions is None:
        return None
    return Reagent(
        name, title, formula, gives, state, standard, why, *assays, hygroscopic, heat, codes, strengths,
        strengths_source, cautions, keeping, extras, steps, waste, standardise, limit,
    )  # fmt: skip


def _check_formulas(row: Fields, formulas: tuple[str, ...]) -> None:
    for text in formulas:
        try:
            parse_formula(text)
        except FormulaError as error:
            row.say("formula-not-read", str(error), "formula")


def _assays(row: Fields, state: State) -> tuple[Assay | None, Assay | None, Assay | None]:
    """Return purity of a solid; mass fraction and density of a liquid."""
    if state is State.SOLID:
        purity = _assay(row, "purity", "purity_limits", "purity_source", FRACTION)
        known = row.has("density_g_mL")  # only wanted for buoyancy
        keys = ("density_g_mL", "density_limits", "density_source")
        return purity, None, _assay(row, *keys, ABOVE_ZERO) if known else None
    fraction = _assay(row, "mass_fraction", "mass_fraction_limits", "strength_source", FRACTION)
    return None, fraction, _assay(row, "density_g_mL", "density_limits", "strength_source", ABOVE_ZERO)


def _assay(row: Fields, key: str, limits_key: str, source_key: str, allowed: Range) -> Assay | None:
    value = row.number(key, allowed, '"0.98"')
    limits = row.number(limits_key, NOT_NEGATIVE, '"0.01"')
    source = row.text(source_key, example='"read off the bottle"')
    if value is None or limits is None:
        return None
    return Assay(float(value), float(limits), source, value.text)


def _heat(row: Fields) -> Heat | None:
    value, source = row.number("heat_kJ_mol"), row.text("heat_source")
    if value is None:
        return None
    if not source:
        row.missing("heat_source", '"from memory"')
    return Heat(float(value), source)


def _codes(row: Fields, key: str) -> tuple[str, ...]:
    if row.raw(key) is None:
        row.missing(key, "[] (not classed)")
    codes = row.texts(key)
    for code in codes:
        try:
            statement(code)
        except UnknownStatement as error:
            row.say("hazard-unknown", str(error), key)
    try:
        label_elements(codes)
    except NoLabelElement as error:
        row.say("hazard-unknown", str(error), key)
    return codes


def _bands(row: Fields, others: Mapping[str, Fields]) -> tuple[tuple[Band, ...], str]:
    other = row.text("bands_of")
    source = others.get(other, row) if other else row
    if other and other not in others:
        row.say("bands-unknown", f"No reagent of this file called {other!r} has bands.", "bands_of")
    bands = tuple(
        sorted((_band(one) for one in source.subs("bands", "band")), key=lambda one: one.from_mol_l)
    )
    if not bands or bands[0].from_mol_l != 0:
        message = (
            'The hazards of its solutions are missing. Write bands = [{ from_mol_L = "0", codes = [] }], one '
            "for each strength from which the codes change, the first from 0."
        )
        row.say("bands-missing", message, "bands")
    return bands, source.text("bands_source", example='"supplier\'s safety data sheet"')


def _band(row: Fields) -> Band:
    start = row.number("from_mol_L", NOT_NEGATIVE, '"0"')
    found = Band(0.0 if start is None else float(start), _codes(row, "codes"), row.choice("signal", SIGNALS))
    row.finish()
    return found


def _cautions(row: Fields, family: Mapping[str, str]) -> Cautions | None:
    given = {key: row.text(key) or family.get(key, "") for key in _CAUTIONS}
    lacking = [key for key, text in given.items() if not text]
    if lacking:
        message = (
            f"Its safety data are missing: {', '.join(lacking)}. A reagent without them is not used. Write "
            "them under [cautions] or with the reagent, from the supplier's safety data sheet."
        )
        row.say("cautions-missing", message)
        return None
    return Cautions(**given)


def _keeping(row: Fields) -> Keeping:
    days = row.whole("keeps_days", 1)
    if days is None and not row.has("keeps_days"):
        row.missing("keeps_days", "30")
    again = row.whole("restandardise_days", 1)
    how = row.text("keep_how", example='"plastic bottle"')
    return Keeping(
        days or 0, how, row.text("keep_source", example='"common practice, no source"'), again or 0
    )


def _extra(row: Fields) -> Extra:
    what, amount = row.text("what", example='"sodium carbonate"'), row.number("amount", ABOVE_ZERO, '"0.1"')
    unit = row.choice("unit", ("g/L", "mL/L"), "g/L")
    why, source = row.text("why"), row.text("source", example='"common practice, no source"')
    row.finish()
    return Extra(what, 0.0 if amount is None else float(amount), unit, why, source)


def _step(row: Fields) -> Step:
    when = When(row.choice("when", [one.value for one in When], When.DISSOLVE.value))
    says, hours = row.text("says", example='"dissolve in half of the water"'), row.number("hours", ABOVE_ZERO)
    why, source = row.text("why"), row.text("source", "common practice, no source")
    row.finish()
    return Step(when, says, 0.0 if hours is None else float(hours), why, source)


def _batch_limit(row: Fields, state: State) -> BatchLimit | None:
    unit = "g" if state is State.SOLID else "mL"
    amount = row.number(f"batch_limit_{unit}", ABOVE_ZERO)
    source = row.text("batch_limit_source", "common practice, no source")
    return None if amount is None else BatchLimit(float(amount), unit, source)


def _stream(row: Fields) -> Stream:
    parts = {key: row.text(key, example='"..."') for key in ("name", "title", "label", "collects", "source")}
    never, codes = row.texts("never"), _codes(row, "codes")
    signal = row.choice("signal", SIGNALS)
    row.finish()
    return Stream(never=never, codes=codes, signal=signal, **parts)


def for_species(species: str, reagents: Mapping[str, Reagent]) -> Iterator[Reagent]:
    """Yield the reagents that give a species, in the order of their names."""
    wanted = _plain(species)
    for name in sorted(reagents):
        if any(_plain(one) == wanted for one in (*reagents[name].gives, reagents[name].formula)):
            yield reagents[name]


def _plain(species: str) -> str:
    try:
        return parse_formula(species).notation
    except FormulaError:
        return species
