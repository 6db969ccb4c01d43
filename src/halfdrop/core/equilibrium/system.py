"""A titration as one curve, whatever its chemistry: a value at each volume, and where it ends."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.activity import Activity
from halfdrop.core.equilibrium.complexation import Conditional, titrate_with_ligand
from halfdrop.core.equilibrium.end_point import Indicator
from halfdrop.core.equilibrium.equivalence import Equivalence, acid_base_equivalences
from halfdrop.core.equilibrium.precipitation import Salt, titrate_by_precipitation
from halfdrop.core.equilibrium.redox import Couple, Forms, titrate_redox
from halfdrop.core.equilibrium.roots import Array


@dataclass(frozen=True)
class Column:
    """A column of a table of a curve."""

    name: str
    unit: str
    values: Array


@dataclass(frozen=True)
class System:
    """A titration that can be asked for its curve.

    Attributes:
        kind: acid-base, complexation, redox or precipitation.
        quantity: what the curve shows: ``pH``, ``pCa``, ``E``.
        unit: of it, "" for none.
        value: the quantity at volumes, mL; runs one way.
        columns: everything that is known at volumes.
        equivalences: equivalence points.
        buffers: values about which the solution resists change, with what does it.
        indicators: those that belong to this system alone.
    """

    kind: str
    quantity: str
    unit: str
    value: Callable[[Array], Array]
    columns: Callable[[Array], tuple[Column, ...]]
    equivalences: tuple[Equivalence, ...]
    buffers: tuple[tuple[float, str], ...] = ()
    indicators: tuple[Indicator, ...] = ()


def acid_base(
    acids: Sequence[Acid], flask: Mixture, flask_ml: float, burette: Mixture, pkw: float, activity: Activity
) -> System:
    """Return the system of a mixture of acids and bases; see :func:`titrate`."""

    def value(volumes: Array) -> Array:
        return titrate(acids, flask, flask_ml, burette, volumes, pkw, activity).ph

    def columns(volumes: Array) -> tuple[Column, ...]:
        found = titrate(acids, flask, flask_ml, burette, volumes, pkw, activity)
        names = [form for acid in acids for form in (acid.forms or [acid.name] * (len(acid.pkas) + 1))]
        forms = (Column(name, "mol/L", row) for name, row in zip(names, found.species, strict=True))
        return (Column("pH", "", found.ph), Column("ionic strength", "mol/L", found.ionic_strength), *forms)

    first, last = value(np.array([0.0, 1e6 * flask_ml]))
    equivalences = acid_base_equivalences(acids, flask, flask_ml, burette, up=bool(last > first))
    buffers = [
        (pka, f"{acid.forms[-k - 1]}/{acid.forms[-k - 2]}" if acid.forms else acid.name)
        for acid in acids
        for k, pka in enumerate(acid.pkas)
    ]
    return System("acid-base", "pH", "", value, columns, equivalences, tuple(sorted(buffers)))


def complexation(
    metals: Sequence[Conditional], flask: Mapping[str, float], flask_ml: float, burette: Mapping[str, float]
) -> System:
    """Return the system of metals and a ligand; the weakest bound metal is shown."""
    ordered = sorted(metals, key=lambda metal: -metal.log_k)

    def value(volumes: Array) -> Array:
        found: Array = titrate_with_ligand(ordered, flask, flask_ml, burette, volumes).p_metal[-1]
        return found

    def columns(volumes: Array) -> tuple[Column, ...]:
        found = titrate_with_ligand(ordered, flask, flask_ml, burette, volumes)
        each = zip(ordered, found.p_metal, strict=True)
        return (
            *(Column(_p(m.name), "", row) for m, row in each),
            Column("free ligand", "mol/L", found.ligand),
        )

    found, used = [], 0.0
    if (ligand := burette.get("ligand", 0.0)) > 0:
        for metal in ordered:
            used += flask.get(metal.name, 0.0) * flask_ml
            if flask.get(metal.name, 0.0) > 0:
                found.append(Equivalence(used / ligand, f"{metal.name} complexed"))
    else:
        metal_mol_L = sum(burette.get(metal.name, 0.0) for metal in ordered)
        volume = flask.get("ligand", 0.0) * flask_ml / metal_mol_L if metal_mol_L > 0 else 0.0
        found += [Equivalence(volume, "ligand used up")] * (volume > 0)
    return System("complexation", _p(ordered[-1].name), "", value, columns, tuple(found))


def redox(
    couples: Sequence[Couple],
    flask: Mapping[str, Forms],
    flask_ml: float,
    burette: Mapping[str, Forms],
    ph: float,
    temperature_degC: float,
) -> System:
    """Return the system of couples; see :func:`titrate_redox`."""

    def value(volumes: Array) -> Array:
        return titrate_redox(couples, flask, flask_ml, burette, volumes, ph, temperature_degC).potential

    def columns(volumes: Array) -> tuple[Column, ...]:
        found = titrate_redox(couples, flask, flask_ml, burette, volumes, ph, temperature_degC)
        forms = [
            Column(name, "mol/L", row)
            for couple, ox, red in zip(couples, found.oxidised, found.reduced, strict=True)
            for name, row in zip(couple.name.split("/"), (ox, red), strict=True)
        ]
        return (Column("E", "V", found.potential), *forms)

    adds = sum(c.electrons * burette.get(c.name, Forms()).oxidised for c in couples)
    takes = sum(c.electrons / c.reduced * burette.get(c.name, Forms()).reduced for c in couples)
    found, used = [], 0.0
    for couple in sorted(couples, key=lambda one: one.formal_at(ph), reverse=adds < takes):
        forms = flask.get(couple.name, Forms())
        here = forms.reduced / couple.reduced if adds > takes else forms.oxidised
        if here > 0 and max(adds, takes) > 0:
            used += couple.electrons * here * flask_ml
            ends = couple.name.split("/")[:: 1 if adds < takes else -1]
            found.append(Equivalence(used / max(adds, takes), " to ".join(ends)))
    return System("redox", "E", "V", value, columns, tuple(found))


def precipitation(
    salts: Sequence[Salt],
    metal: str,
    flask: Mapping[str, float],
    flask_ml: float,
    burette: Mapping[str, float],
) -> System:
    """Return the system of sparingly soluble salts; see :func:`titrate_by_precipitation`."""

    def value(volumes: Array) -> Array:
        return titrate_by_precipitation(salts, flask, flask_ml, burette, volumes).p_metal

    def columns(volumes: Array) -> tuple[Column, ...]:
        found = titrate_by_precipitation(salts, flask, flask_ml, burette, volumes)
        each = zip(salts, found.p_anion, strict=True)
        return (
            Column(_p(metal), "", found.p_metal),
            *(Column(_p(salt.anion), "", row) for salt, row in each),
        )

    found, used = [], 0.0
    if (silver := burette.get("metal", 0.0)) > 0:
        for salt in sorted(salts, key=lambda one: -one.p_ksp / one.metals):
            if flask.get(salt.anion, 0.0) > 0:
                used += salt.metals * flask[salt.anion] * flask_ml
                found.append(Equivalence(used / silver, f"{salt.anion} precipitated"))
    else:
        anions = sum(salt.metals * burette.get(salt.anion, 0.0) for salt in salts)
        volume = flask.get("metal", 0.0) * flask_ml / anions if anions > 0 else 0.0
        found += [Equivalence(volume, f"{metal} precipitated")] * (volume > 0)
    return System("precipitation", _p(metal), "", value, columns, tuple(found))


def _p(ion: str) -> str:
    """Return how -log10 of an ion's concentration is written: ``pCa`` for Ca^2+."""
    return f"p{ion.partition('^')[0]}"
