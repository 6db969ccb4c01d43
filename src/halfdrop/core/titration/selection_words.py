"""What is said of a selection: a reason for every trial, and the findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.titration.selection_rules import Kind, SelectionRule, spread_of

NAMED = 12  # so many trials are named one by one; of more their number is said


@dataclass(frozen=True)
class Outcome:
    """What there is to say something about.

    Attributes:
        rule: the rule followed.
        values: all trials.
        limit: concordance limit, if any.
        aside: position -> reason of trials that are not accurate.
        accurate: positions of the others.
        used: positions averaged.
        agreed: whether agreement was reached; None without a limit.
        looked_at: how many accurate trials the rule looked at.
        marked: positions the person marked.
        labels: what the trials are called; running numbers from 1 when empty.
        unit: of the values, "" when not known.
    """

    rule: SelectionRule
    values: tuple[float, ...]
    limit: float | None
    aside: Mapping[int, str]
    accurate: tuple[int, ...]
    used: tuple[int, ...]
    agreed: bool | None
    looked_at: int
    marked: frozenset[int]
    labels: tuple[str, ...] = ()
    unit: str = ""

    @property
    def fell_back(self) -> bool:
        """Return whether all accurate trials are averaged because the rule found nothing to choose."""
        choice = len(self.accurate) > 1 and self.rule.kind is not Kind.ALL
        return choice and self.agreed is False and self.used == self.accurate

    def named(self, positions: Sequence[int]) -> str:
        """Return "trial 2", "trials 1 and 3", "trials 1, 3 and 4", or "40 trials"."""
        names = [self.labels[p] if self.labels else str(p + 1) for p in positions]
        if len(names) == 1:
            return f"trial {names[0]}"
        if len(names) > NAMED:
            return f"{len(names)} trials"
        return f"trials {', '.join(names[:-1])} and {names[-1]}"

    def amount(self, value: float) -> str:
        """Return a limit or a span with its unit, in plain figures: "0.10 mL", "0.00042 mol/L"."""
        places = self.unit == "mL" and value >= 0.01
        text = f"{value:.2f}" if places else f"{Decimal(f'{value:.2g}'):f}"
        return f"{text} {self.unit}" if self.unit not in ("", "1") else text

    @property
    def within(self) -> str:
        """Return " within 0.10 mL", or "" without a limit."""
        return "" if self.limit is None else f" within {self.amount(self.limit)}"


def reasons_of(outcome: Outcome) -> tuple[str, ...]:
    """Return one reason per trial."""
    used = "averaged: the rule found no trials to choose" if outcome.fell_back else "averaged"
    reasons = dict.fromkeys(outcome.used, used) | dict(outcome.aside)
    chosen = outcome.named(outcome.used) if outcome.used else ""
    return tuple(reasons.get(p) or _not_averaged(p, outcome, chosen) for p in range(len(outcome.values)))


def _not_averaged(position: int, outcome: Outcome, chosen: str) -> str:
    if outcome.rule.kind is Kind.MARKED:
        return "not averaged: not marked"
    if outcome.rule.kind is Kind.CLOSEST:
        return f"not averaged: {chosen} lie closer together"
    if outcome.rule.kind is Kind.GROUP:
        return f"not averaged: outside the largest group{outcome.within}, {chosen}"
    if position > max(outcome.used):
        return f"not averaged: made after {chosen} had agreed"
    return f"not averaged: {chosen} were the first to agree{outcome.within}"


def findings_of(outcome: Outcome, *, fits: bool, stops: bool) -> tuple[Finding, ...]:
    """Return what a person should know about the selection."""
    if not outcome.accurate:
        return (_no_accurate_trial(outcome),)
    found = []
    contradicted = sorted(outcome.marked & set(outcome.aside))
    if contradicted:
        found.append(_marked_and_aside(contradicted, outcome))
    if len(outcome.accurate) == 1:
        found.append(_one_trial())
    elif outcome.agreed is False:
        found.append(_not_concordant(outcome))
    if not fits:
        found.append(_does_not_fit(outcome))
    if stops and outcome.looked_at < len(outcome.accurate):
        found.append(_made_after(outcome))
    return tuple(found)


def _no_accurate_trial(outcome: Outcome) -> Finding:
    message = "There is no accurate trial to average. Enter at least one, or say of one that it is not rough."
    return Finding("no-accurate-trial", Severity.REFUSED, message, evidence={"trials": len(outcome.values)})


def _one_trial() -> Finding:
    message = (
        "Only one accurate trial: agreement cannot be judged, and the result rests on a repeatability "
        "known from elsewhere."
    )
    return Finding("one-accurate-trial", Severity.ATTENTION, message)


def _marked_and_aside(positions: Sequence[int], outcome: Outcome) -> Finding:
    names = outcome.named(positions)
    names = names[0].upper() + names[1:]
    many = len(positions) > 1
    message = (
        f"{names} {'are' if many else 'is'} marked to be averaged and also set aside "
        f"({', '.join(outcome.aside[p] for p in positions)}). Left out of the mean; take away one of the two."
    )
    return Finding(
        "marked-and-set-aside", Severity.ATTENTION, message, evidence={"positions": tuple(positions)}
    )


def _not_concordant(outcome: Outcome) -> Finding:
    count = len(outcome.accurate)
    spread = spread_of(outcome.values, outcome.accurate)
    what, done = _disagreement(outcome, "Both" if count == 2 else f"All {count}")
    span = outcome.amount(spread)
    message = f"{what} {done} They span {span}. Another trial, or a look for the cause, would help."
    return Finding(
        "not-concordant",
        Severity.ATTENTION,
        message,
        evidence={"spread": spread, "limit": outcome.limit, "count": count},
    )


def _disagreement(outcome: Outcome, everything: str) -> tuple[str, str]:
    """Return what does not agree, and what was averaged then."""
    count, within, members = len(outcome.accurate), outcome.within, outcome.rule.members
    done = f"{everything} are averaged; nothing was left out."
    if outcome.rule.kind is Kind.MARKED:
        if outcome.marked - set(outcome.aside):
            return f"The marked trials do not agree{within}.", "They are averaged as marked."
        return "No accurate trial is marked.", done
    if count == 2 and outcome.rule.kind in (Kind.ALL, Kind.GROUP):
        return f"The two accurate trials do not agree{within}.", done
    what = {
        Kind.ALL: f"The {count} accurate trials do not all agree{within}.",
        Kind.GROUP: f"No two of the {count} accurate trials agree{within}.",
    }.get(outcome.rule.kind, f"There are no {members} accurate trials that agree{within} among {count}.")
    return what, done


def _does_not_fit(outcome: Outcome) -> Finding:
    message = (
        f"That {outcome.looked_at} trials lie like this happens in fewer than 1 of 1000 series with the "
        "standard deviation given. Either these trials scatter more than it says, or one of them went wrong."
    )
    return Finding("scatter-does-not-fit", Severity.ATTENTION, message)


def _made_after(outcome: Outcome) -> Finding:
    late = outcome.accurate[outcome.looked_at :]
    names = outcome.named(late)
    message = (
        f"{names[0].upper() + names[1:]} came after {outcome.named(outcome.used)} had agreed. "
        "The rule stops there; a rule that takes all accurate trials would use what they tell."
    )
    return Finding("made-after-agreement", Severity.NOTE, message, evidence={"positions": late})


def own_scatter_misleads(count: int, rule: SelectionRule) -> Finding:
    """Return why the scatter of these trials alone cannot be their repeatability."""
    if count < 2:
        what = "A single accurate trial has no scatter."
    else:
        what = (
            f"By the rule followed ({rule.words}) the trials decide how many of them are made. "
            "Their own scatter says too little when they agree at once (in simulation the 95 % interval then "
            "held the true value in as few as half of all cases) and too much when they agree late."
        )
    message = f"{what} Give a pooled standard deviation from earlier work, or the method's stated one."
    return Finding(
        "own-scatter-misleads", Severity.ATTENTION, message, evidence={"count": count, "rule": rule.name}
    )
