"""Sets of constants and indicators: those that are shipped, and single constants in a person's own file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from itertools import pairwise
from math import log10

from halfdrop.core.chemistry.formula import FormulaError, parse_formula
from halfdrop.core.chemistry.reaction import Reaction, ReactionError, parse_reaction
from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.complexation import Metal
from halfdrop.core.equilibrium.constants import ConstantSet, HalfReaction, MetalSalt
from halfdrop.core.equilibrium.end_point import Indicator
from halfdrop.core.equilibrium.precipitation import Salt
from halfdrop.core.equilibrium.redox import Couple
from halfdrop.core.findings import Finding, refuse_if_any
from halfdrop.files.fields import ABOVE_ZERO, Fields, Spot
from halfdrop.files.toml_text import TomlText, parse_toml

_FOLDER, _SUBSTANCES, _ENDING = "equilibria", "substances.toml", ".toml"


def _shipped(*path: str) -> TomlText:
    """Return a shipped file, read."""
    file = resources.files("halfdrop").joinpath("data", *path)
    text, findings = parse_toml(file.read_bytes(), "/".join(path))
    refuse_if_any(findings)
    if text is None:
        raise FileNotFoundError("/".join(path))
    return text


def set_names() -> tuple[str, ...]:
    """Return the names of the shipped sets of constants."""
    entries = resources.files("halfdrop").joinpath("data", _FOLDER).iterdir()
    names = sorted(entry.name for entry in entries)
    return tuple(
        name.removesuffix(_ENDING) for name in names if name.endswith(_ENDING) and name != _SUBSTANCES
    )


@lru_cache(maxsize=16)
def constant_set(name: str) -> ConstantSet:
    """Return a shipped set of constants by its name.

    Raises:
        Refused: when the shipped file is not right, which the project's tests would have found.
    """
    text = _shipped(_FOLDER, f"{name}{_ENDING}")
    findings: list[Finding] = []
    fields = Fields(text.data, Spot(text), findings)
    own = own_constants(fields)
    found = ConstantSet(
        name,
        title=fields.text("title", example='"Constants of ..."'),
        source=fields.text("source", example='"title, edition, year, table"'),
        note=fields.text("note"),
        ionic_strength=_float(fields, "ionic_strength"),
        temperature_degC=_float(fields, "temperature_degC") or 25.0,
        pkw=_float(fields, "pkw") or 14.0,
        expressions={
            one.text("name"): _lists(one, "beta_expressions")
            for one in fields.subs("acid")
            if one.has("beta_expressions")
        },
        kw_expression=_floats(fields, "kw_expression"),
        acids=own.acids,
        metals=own.metals,
        salts=own.salts,
        couples=own.couples,
    )
    fields.finish()
    refuse_if_any(findings)
    return found


@dataclass(frozen=True)
class OwnConstants:
    """Constants that stand in one file."""

    acids: dict[str, Acid]
    metals: dict[str, Metal]
    salts: tuple[MetalSalt, ...]
    couples: tuple[HalfReaction, ...]


def own_constants(fields: Fields) -> OwnConstants:
    """Return the acids, metals, salts and couples of a file; complaints go to the findings."""
    acids = [acid for one in fields.subs("acid") if (acid := _acid(one)) is not None]
    metals = [metal for one in fields.subs("metal") if (metal := _metal(one)) is not None]
    return OwnConstants(
        {acid.name: acid for acid in acids},
        {metal.name: metal for metal in metals},
        tuple(salt for one in fields.subs("salt") if (salt := _salt(one)) is not None),
        tuple(couple for one in fields.subs("couple") if (couple := _couple(one)) is not None),
    )


def _acid(fields: Fields) -> Acid | None:
    name = fields.text("name", example='"acetate"')
    forms = tuple(text for text in (_formula(fields, one) for one in fields.texts("forms")) if text)
    pkas = _pkas(fields)
    fields.has("beta_expressions"), fields.text("note"), fields.text("source")
    fields.finish()
    if not pkas or not forms or not name:
        if not fields.has("forms"):
            fields.missing("forms", '["CH3COO^-", "CH3COOH"]')
        return None
    if len(forms) != len(pkas) + 1:
        fields.say(
            "forms-and-constants",
            f"{len(pkas)} constants belong to {len(pkas) + 1} forms, and {len(forms)} are given. "
            "Name them from no proton to all.",
            "forms",
        )
        return None
    charges = [parse_formula(form).charge for form in forms]
    if any(after != before + 1 for before, after in pairwise(charges)):
        fields.say(
            "forms-out-of-order",
            "Each form carries one proton more than the one before it. Begin with the form without protons.",
            "forms",
        )
        return None
    if list(pkas) != sorted(pkas):
        fields.say(
            "constants-out-of-order",
            "The acid constants are out of order: the strongest acid comes first, pKa1 before pKa2.",
            _which(fields),
        )
        return None
    return Acid(name, pkas, charges[0], forms)


def _which(fields: Fields) -> str:
    return next((key for key in ("pka", "ka", "kb") if key in fields.table), "pka")


def _pkas(fields: Fields) -> tuple[float, ...]:
    if not fields.has("pka", "ka", "kb"):
        fields.missing("pka", "[4.757]")
        return ()
    if fields.has("pka"):
        return _floats(fields, "pka")
    if fields.has("ka"):
        return tuple(-log10(value) for value in _floats(fields, "ka", positive=True))
    return tuple(14.0 + log10(value) for value in reversed(_floats(fields, "kb", positive=True)))


def _metal(fields: Fields) -> Metal | None:
    ion = _formula(fields, fields.text("ion", example='"Ca^2+"'))
    table = fields.sub("log_k")
    log_k = _float(table, "EDTA") if table else None
    auxiliary = fields.sub("auxiliary")
    bound = {name: _floats(auxiliary, name) for name in auxiliary.table} if auxiliary else {}
    hydrolysis = _floats(fields, "hydrolysis")
    fields.text("source")
    fields.finish()
    if log_k is None:
        fields.missing("log_k", "{ EDTA = 10.65 }")
        return None
    return Metal(ion, log_k, bound, hydrolysis) if ion else None


def _salt(fields: Fields) -> MetalSalt | None:
    metal, anion = (
        _formula(fields, fields.text(key, example=example))
        for key, example in (("metal", '"Ag^+"'), ("anion", '"Cl^-"'))
    )
    count = fields.whole("metals", 1) or 1
    p_ksp = _float(fields, "pksp")
    product = fields.number("ksp", ABOVE_ZERO)
    fields.text("source")
    fields.finish()
    if product is not None:
        p_ksp = -log10(float(product))
    if p_ksp is None:
        fields.missing("pksp", "9.75")
    return MetalSalt(metal, Salt(anion, p_ksp, count)) if metal and anion and p_ksp is not None else None


def _couple(fields: Fields) -> HalfReaction | None:
    written = fields.text("equation", example='"Fe^3+ + e^- -> Fe^2+"')
    medium = fields.text("medium", "as given")
    potential = _float(fields, "potential_V")
    fields.text("source")
    fields.finish()
    if potential is None:
        fields.missing("potential_V", "0.771")
    reaction = _reaction(fields, written, "equation")
    if reaction is None or potential is None:
        return None
    try:
        return _half(reaction, medium, potential)
    except ValueError as error:
        fields.say(
            "not-a-half-reaction", f"{error} Write it as a reduction: Ox + electrons -> Red.", "equation"
        )
        return None


def _half(reaction: Reaction, medium: str, potential: float) -> HalfReaction:
    electrons = protons = 0
    kept: dict[bool, list[tuple[str, int]]] = {True: [], False: []}
    for substance, amount in reaction.net.items():
        if substance.is_electron:
            electrons = int(-amount)
        elif substance.notation == "H^+":
            protons = int(-amount)
        elif substance.notation != "H2O":
            kept[amount < 0].append((substance.notation, int(abs(amount))))
    if len(kept[True]) != 1 or len(kept[False]) != 1:
        raise ValueError("A couple has one oxidised and one reduced form beside H^+, H2O and electrons.")
    (oxidised, a), (reduced, b) = kept[True][0], kept[False][0]
    return HalfReaction(
        oxidised, reduced, medium, Couple(f"{oxidised}/{reduced}", potential, electrons, a, b, protons)
    )


def _reaction(fields: Fields, text: str, key: str) -> Reaction | None:
    if not text:
        return None
    try:
        return parse_reaction(text)
    except ReactionError as error:
        fields.say("equation-not-usable", " ".join(error.problems) or str(error), key)
        return None


def _formula(fields: Fields, text: str) -> str:
    if not text:
        return ""
    try:
        return parse_formula(text).notation
    except FormulaError as error:
        fields.say("formula-not-read", f"{error} An ion is written like CO3^2-.")
        return ""


def _float(fields: Fields | None, key: str) -> float | None:
    number = fields.number(key) if fields is not None else None
    return None if number is None else float(number)


def _floats(fields: Fields, key: str, *, positive: bool = False) -> tuple[float, ...]:
    numbers = fields.numbers(key, ABOVE_ZERO) if positive else fields.numbers(key)
    return tuple(float(number) for number in numbers)


def _lists(fields: Fields, key: str) -> tuple[tuple[float, ...], ...]:
    rows = fields.table[key]
    return (
        tuple(_floats(Fields({"row": row}, fields.spot, fields.findings), "row") for row in rows)
        if isinstance(rows, list)
        else ()
    )


@lru_cache(maxsize=1)
def shipped_substances() -> tuple[tuple[Reaction, ...], frozenset[str]]:
    """Return how substances dissolve, and the ions that take no part in acid-base reactions."""
    data = _shipped(_FOLDER, _SUBSTANCES).data
    spectators = frozenset(parse_formula(text).notation for text in data["spectators"])
    return tuple(parse_reaction(text) for text in data["dissolves"]), spectators


@lru_cache(maxsize=1)
def shipped_indicators() -> tuple[Indicator, ...]:
    """Return the shipped indicators of all scales."""
    text = _shipped("indicators.toml")
    findings: list[Finding] = []
    fields = Fields(text.data, Spot(text), findings)
    general = fields.sub("source")
    ranges = general.text("ranges", example='"..."') if general else ""
    found = tuple(_indicators(fields, ranges))
    refuse_if_any(findings)
    return found


def _indicators(fields: Fields, source: str) -> Iterator[Indicator]:
    for one in fields.subs("indicator"):
        name, (low, high) = one.text("name", example='"methyl orange"'), _floats(one, "range")
        colours = one.text("low", example='"red"'), one.text("high", example='"yellow"')
        called = _float(one, "rising"), _float(one, "falling")
        eyes, own = one.text("eyes", example='"..."'), one.text("source", source)
        scale = one.text("scale", "pH")
        one.finish()
        yield Indicator(name, low, high, *colours, *called, eyes, own, scale)
