"""What a determination says of room, balance, repeatability, choice of trials, end point and coverage."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from halfdrop.core.chemistry.atomic_weights import DEFAULT_SET, SET_NAMES
from halfdrop.core.glassware.thermal import check_temperature, find_liquid
from halfdrop.core.measure.estimate import Shape, standard_from_limits
from halfdrop.core.titration.record import Choice, EndPoint, From, Repeatability, Room
from halfdrop.core.titration.selection_rules import RULES, Kind
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range
from halfdrop.files.numbers import Written, read_number, shown
from halfdrop.files.text_files import note

ASSUMED_LIMITS_DEGC = 1.0  # of a room thermometer of unknown make; common practice, no source
INTERVALS = ("midpoint", "conventional")
_PERCENT = re.compile(r"(?P<number>[0-9]+(?:[.,][0-9]+)?)\s*%?")
_FACTOR = re.compile(r"[kK]\s*=\s*(?P<number>[0-9]+(?:[.,][0-9]+)?)")
_DEFAULT_COVERAGE = "95 %"


@dataclass(frozen=True)
class Balance:
    """A balance: standard uncertainty of one weighing, mg, its distribution, and where that comes from."""

    u_mg: float
    shape: Shape
    words: str


def read_room(top: Fields, day: str) -> tuple[Room, float | None]:
    """Read ``[room]``.

    Args:
        top: the whole file.
        day: date of the determination, for the key of the room.

    Returns:
        The room, and the temperature of the titrant where that is given apart.
    """
    table = top.sub("room") or Fields({}, top.spot.at("room"), top.findings)
    temperature = table.number("temperature_degC")
    u, limits = table.number("u_degC", NOT_NEGATIVE), table.number("limits_degC", NOT_NEGATIVE)
    correct, name = table.flag("correct_to_20"), table.text("id")
    liquid, titrant = table.text("liquid") or "water", table.number("titrant_degC")
    table.findings.extend(find_liquid(liquid, place=table.place("liquid"))[1])
    for key, number in (("temperature_degC", temperature), ("titrant_degC", titrant)):
        if number is not None:
            table.findings.extend(check_temperature(float(number), table.place(key)))
    if u is not None and limits is not None:
        table.say(
            "uncertainty-twice", "u_degC and limits_degC say the same thing twice. Keep one.", "limits_degC"
        )
    if correct and temperature is None:
        message = (
            "Volumes are to be corrected to 20 degC, and no temperature is given. Write temperature_degC."
        )
        table.say("temperature-missing", message, "correct_to_20")
    table.finish()
    spread, shape = _spread(table, measured=temperature is not None)
    if u is not None:
        spread, shape = float(u), Shape.NORMAL
    elif limits is not None:
        spread, shape = standard_from_limits(float(limits)), Shape.RECTANGULAR
    key = " ".join(part for part in (name, day) if part) or top.spot.source.file
    room = Room(
        20.0 if temperature is None else float(temperature),
        spread, temperature is not None, correct, shape, f"room:{key}", liquid,
    )  # fmt: skip
    return room, None if titrant is None else float(titrant)


def _spread(table: Fields, *, measured: bool) -> tuple[float, Shape]:
    """Return the standard uncertainty of a temperature that comes without one."""
    if not measured:
        return Room().u_degc, Room().shape
    if not table.has("u_degC", "limits_degC"):
        message = (
            "No uncertainty is given for the temperature. It is taken to be right to "
            f"{ASSUMED_LIMITS_DEGC:g} degC either way (common practice, no source). Write u_degC or "
            "limits_degC if you know better."
        )
        table.findings.append(
            note("temperature-uncertainty-assumed", message, table.place("temperature_degC"))
        )
    return standard_from_limits(ASSUMED_LIMITS_DEGC), Shape.RECTANGULAR


def read_balance(top: Fields) -> Balance | None:
    """Read ``[balance]``; the uncertainty counts once for each weighing."""
    table = top.sub("balance")
    if table is None:
        return None
    name = table.text("id")
    limits, u = table.number("linearity_mg", NOT_NEGATIVE), table.number("u_mg", NOT_NEGATIVE)
    table.finish()
    if table.has("linearity_mg") == table.has("u_mg"):
        message = "Write one of linearity_mg (limits, from the data sheet) and u_mg (a standard uncertainty)."
        table.say("balance-uncertainty", message)
    called = f"balance {name}: " if name else ""
    if limits is not None:
        words = f"{called}linearity ±{limits.text} mg, rectangular, counted for each weighing"
        return Balance(standard_from_limits(float(limits)), Shape.RECTANGULAR, words)
    if u is not None:
        return Balance(float(u), Shape.NORMAL, f"{called}u = {u.text} mg for each weighing")
    return None


def read_repeatability(top: Fields) -> Repeatability:
    """Read ``[repeatability]``: which source, and what it needs."""
    table = top.sub("repeatability")
    if table is None:
        return Repeatability()
    source = From(table.choice("from", [one.value for one in From], From.DEFAULT.value))
    sd, relative = table.number("sd_mL", ABOVE_ZERO), table.number("relative", ABOVE_ZERO)
    dof = table.number("dof", ABOVE_ZERO)
    reading, drop = table.number("reading_mL", ABOVE_ZERO), table.number("drop_mL", NOT_NEGATIVE)
    words = table.text("source")
    table.finish()
    if table.has("sd_mL") and table.has("relative"):
        table.say("uncertainty-twice", "sd_mL and relative say the same thing twice. Keep one.", "relative")
    if source is From.POOLED and not table.has("sd_mL", "relative"):
        table.missing("sd_mL", '"0.04"')
    if source is From.POOLED and dof is None and not table.has("dof"):
        table.missing("dof", "20")
    if source is From.PARTS:
        for key, example in (("reading_mL", '"0.02"'), ("drop_mL", '"0.05"')):
            if not table.has(key):
                table.missing(key, example)
    return Repeatability(
        source, _or_none(sd), _or_none(relative), float(dof) if dof else math.inf, _or_none(reading),
        _or_none(drop), words,
    )  # fmt: skip


def _or_none(number: Written | None) -> float | None:
    return None if number is None else float(number)


def read_choice(top: Fields) -> Choice:
    """Read ``[choose]``; trials that are marked are looked up later."""
    table = top.sub("choose")
    if table is None:
        return Choice()
    rule, limit, used = (
        table.choice("rule", list(RULES)),
        table.number("limit_mL", ABOVE_ZERO),
        table.texts("used"),
    )
    table.finish()
    marked = next(one.name for one in RULES.values() if one.kind is Kind.MARKED)
    if used and not rule:
        rule = marked
    if used and rule != marked:
        message = (
            f"Only the rule {marked} looks at the trials named under used. Write that rule, or no names."
        )
        table.say("used-without-rule", message, "used")
    if rule == marked and not used and not table.has("used"):
        table.missing("used", '["2", "3"]')
    return Choice(rule, _or_none(limit), used)


def read_end_point(top: Fields) -> EndPoint | None:
    """Read ``[end_point]``: how late it is seen."""
    table = top.sub("end_point")
    if table is None:
        return None
    late, u = table.number("late_mL", example='"0.03"'), table.number("u_mL", NOT_NEGATIVE, '"0.02"')
    source = table.text("source", example='"where the two numbers come from"')
    table.finish()
    return None if late is None or u is None else EndPoint(float(late), float(u), source)


def read_coverage(top: Fields) -> str:
    """Return ``95 %`` or ``k = 2``, written one way."""
    text = top.text("coverage", _DEFAULT_COVERAGE)
    for pattern, form, fits in (
        (_PERCENT, "{} %", Range("", lambda value: 50 <= value < 100)),
        (_FACTOR, "k = {}", Range("", lambda value: 0 < value <= 10)),
    ):
        match = pattern.fullmatch(text)
        number = read_number(match["number"])[0] if match else None
        if number is not None and fits.holds(float(number)):
            return form.format(number.value)
    message = (
        f'{shown(text)} is no coverage. Write a probability of 50 % or more, such as "95 %", or "k = 2".'
    )
    top.say("coverage", message, "coverage")
    return _DEFAULT_COVERAGE


def read_weights(top: Fields) -> tuple[str, str]:
    """Return the set of atomic weights and what stands for an interval in it."""
    return top.choice("weights", SET_NAMES, DEFAULT_SET), top.choice(
        "interval_value", INTERVALS, INTERVALS[0]
    )
