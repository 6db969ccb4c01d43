"""What the choices cost: the same result with other choices, each seen for what it is worth."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.titration.record import Determination
from halfdrop.core.titration.selection import RULES
from halfdrop.core.titration.selection_rules import Kind
from halfdrop.core.titration.work import Worked, work_out
from halfdrop.files.methods import shipped_blocks


@dataclass(frozen=True)
class Alternative:
    """The result under another choice: what was chosen, value and standard uncertainty."""

    choice: str
    value: float
    u: float


def alternatives(worked: Worked) -> tuple[Alternative, ...]:
    """Return the result under every other choice that makes sense for these data.

    A choice by which a mixture is told to hold something else is named so; where the result in question is
    then none of its results, it is zero: there is nothing of that substance.
    """
    return tuple(_each(worked))


def _each(worked: Worked) -> Iterator[Alternative]:
    yield _independent(worked)
    if worked.determination.room.measured:
        other = not worked.determination.room.correct
        words = "every volume corrected to 20 °C" if other else "no volume corrected for temperature"
        done = _again(worked, lambda d: replace(d, room=replace(d.room, correct=other)), chain=True)
        yield _as(words, done, worked)
    used = worked.determination.choice.rule or worked.method.agreement.rule
    for name, rule in RULES.items():
        if name == used or rule.kind is Kind.MARKED:
            continue
        yield _as(f"averaged: {rule.words}", _again(worked, _with_rule(name), chain=False), worked)


def _with_rule(rule: str) -> Callable[[Determination], Determination]:
    return lambda record: replace(record, choice=replace(record.choice, rule=rule))


def _as(words: str, done: Worked, reported: Worked) -> Alternative:
    """Return what became of the result that is reported, whatever a mixture is told to hold."""
    symbol = reported.results[-1].symbol
    same = next((one for one in done.results if one.symbol == symbol), None)
    if done.case != reported.case:
        words = f"{words}; the mixture is then taken as {done.case.replace('+', ' and ')}"
    return Alternative(words, same.value, same.u) if same else Alternative(words, 0.0, 0.0)


def _again(worked: Worked, change: Callable[[Determination], Determination], *, chain: bool) -> Worked:
    links = {
        name: _again(child, change, chain=True) if chain else child for name, child in worked.links.items()
    }
    saved = {n: worked.estimates[n] for n in worked.determination.links if n not in links}
    return work_out(worked.method, shipped_blocks(), change(worked.determination), links, saved)


def _independent(worked: Worked) -> Alternative:
    """Every input its own thing: no shared burette, room, pipette or atomic weight."""
    alone = {
        name: Estimate(one.value, one.standard_uncertainty(), one.shape, one.dof)
        for name, one in worked.estimates.items()
    }
    done = worked.evaluator().evaluate(alone, worked.weights)
    return Alternative("shared inputs taken as independent of each other", float(done.value), float(done.u))
