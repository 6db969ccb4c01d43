"""The equation of a weighed volume, line by line, in symbols and with the numbers of one delivery.

Each line is worked out from the numbers as they are printed, so that somebody with a calculator finds every
printed result to its last digit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal, localcontext

from halfdrop.core.glassware.conditions import air_density, water_density
from halfdrop.core.glassware.weighed_volume import volume_working
from halfdrop.core.measure.expression import Expression, Number, Symbol
from halfdrop.files.session import Session
from halfdrop.files.weighings import Delivery
from halfdrop.reports.content import Equation, words
from halfdrop.reports.formulas import Printer, number, symbols_of
from halfdrop.reports.maths import Gap, Sign, Word, row
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text
from halfdrop.reports.words import sentence

PLACES = {"m": 5, "b": 8, "rho": 8, "V_t": 5, "g": 8, "V_20": 5, "C": 4}
"""Decimals of each line: far finer than its uncertainty."""


def printed_inputs(one: Delivery, session: Session, gamma_per_c: float) -> dict[str, str]:
    """Return the inputs of the working of one delivery as they are printed."""
    warm = float(session.water_c.value) if one.temperature_c is None else one.temperature_c
    conditions = replace(session.conditions(), water_c=replace(session.water_c, value=warm))
    rho_w = float(water_density(conditions).value)
    return {
        "gross": f"{one.gross_g:f}", "tare": f"{one.tare_g:f}",
        "lost": _plain(float(session.lost_g.value), 5),
        "rho_w": f"{rho_w:.8f}", "rho_a": f"{float(air_density(session.air).value):.8f}",
        "rho_b": _plain(float(session.balance.weights_kg_m3.value) / 1000, 6),
        "gamma": _plain(gamma_per_c, 8), "t": _plain(warm, 4), "t_0": "20", "V_r": f"{one.read_ml:f}",
    }  # fmt: skip


def _plain(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def printed_lines(inputs: dict[str, str]) -> dict[str, str]:
    """Return every line of the working, worked out from printed numbers and rounded to its places."""
    texts = dict(inputs)
    with localcontext() as context:
        context.prec = 40
        for step in volume_working().steps.values():
            value = _worked(step.formula, texts)
            texts[step.name] = f"{value:.{PLACES[step.name]}f}"
    return texts


def _worked(formula: Expression, texts: dict[str, str]) -> Decimal:
    if isinstance(formula, Symbol):
        return Decimal(texts[formula.name])
    if isinstance(formula, Number):
        return Decimal(formula.text)
    left, right = (_worked(part, texts) for part in formula.args)
    if formula.op == "+":
        return left + right
    if formula.op == "-":
        return left - right
    return left * right if formula.op == "*" else left / right


def volume_equations(one: Delivery, session: Session, gamma_per_c: float) -> Iterator[Equation]:
    """Yield the lines of the working with the numbers of one delivery."""
    working = volume_working()
    texts = printed_lines(printed_inputs(one, session, gamma_per_c))
    plain = symbols_of(lambda name: symbol(working.named(name).symbol))
    filled = Printer(lambda name, _: number(texts[name]))
    for count, step in enumerate(working.steps.values(), 1):
        unit = unit_text(step.unit)
        parts = (
            row(symbol(step.symbol), Sign("="), plain.written(step.formula)),
            row(Sign("="), filled.written(step.formula)),
            row(Sign("="), number(texts[step.name]), *((Gap(), Word(unit)) if unit else ())),
        )
        yield Equation(count, words(sentence(step.says.replace("degC", "°C"))), parts)
