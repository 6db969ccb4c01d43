"""A named set of constants: one source, one ionic strength, never mixed with another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.complexation import Metal
from halfdrop.core.equilibrium.precipitation import Salt
from halfdrop.core.equilibrium.redox import Couple
from halfdrop.core.equilibrium.temperature import log_k_at


@dataclass(frozen=True)
class MetalSalt:
    """A salt and its metal."""

    metal: str
    salt: Salt


@dataclass(frozen=True)
class HalfReaction:
    """A couple with its two forms, in a medium."""

    oxidised: str
    reduced: str
    medium: str
    couple: Couple


@dataclass(frozen=True)
class ConstantSet:
    """Constants of one source.

    Attributes:
        name: by which a file asks for it.
        title, source, note: in words.
        ionic_strength: mol/L at which they hold; None when the source does not say.
        temperature_degC: at which they hold.
        pkw: ionic product of water.
        acids: by name.
        metals: by ion.
        salts, couples: all.
        expressions: by acid, log10 of its cumulative constants against temperature, where known.
        kw_expression: log10 Kw against temperature; or none.
    """

    name: str
    title: str
    source: str
    note: str
    ionic_strength: float | None
    temperature_degC: float  # noqa: N815 - the unit
    pkw: float
    acids: Mapping[str, Acid] = field(default_factory=dict)
    metals: Mapping[str, Metal] = field(default_factory=dict)
    salts: tuple[MetalSalt, ...] = ()
    couples: tuple[HalfReaction, ...] = ()
    expressions: Mapping[str, tuple[tuple[float, ...], ...]] = field(default_factory=dict)
    kw_expression: tuple[float, ...] = ()

    def acid_of(self, form: str) -> tuple[Acid, int] | None:
        """Return the acid that has a form, and how many protons the form carries."""
        return next(
            ((acid, acid.forms.index(form)) for acid in self.acids.values() if form in acid.forms), None
        )

    def at(self, temperature_degC: float) -> ConstantSet:
        """Return the set at a temperature, as far as the source says how constants change with it."""
        if temperature_degC == self.temperature_degC:
            return self
        acids = dict(self.acids)
        for name, expressions in self.expressions.items():
            sums = [0.0, *(log_k_at(one, temperature_degC) for one in expressions)]
            steps = [later - before for before, later in pairwise(sums)]
            acids[name] = replace(acids[name], pkas=tuple(reversed(steps)))
        pkw = -log_k_at(self.kw_expression, temperature_degC) if self.kw_expression else self.pkw
        return replace(self, acids=acids, pkw=pkw, temperature_degC=temperature_degC)

    def without_temperature(self, names: tuple[str, ...], temperature_degC: float) -> tuple[str, ...]:
        """Return which of these acids, and water, stay at the set's own temperature."""
        if temperature_degC == self.temperature_degC:
            return ()
        fixed = tuple(name for name in names if name not in self.expressions)
        return fixed if self.kw_expression else ("water", *fixed)
