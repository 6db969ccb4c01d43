"""The rules by which trials are chosen for averaging, as data, and the choice each of them makes.

Only the order in which trials were made and the values themselves decide. Where two choices are equally good,
the one that was complete first is taken (then the one whose earlier members were made first), because that
does not lean on the values and anyone can follow it on paper.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

# Differences of recorded values carry binary noise: 23.50 - 23.40 is 0.10000000000000142 and still within
# 0.10.
_NOISE = 1e-9


class Kind(StrEnum):
    """How a rule looks at the trials."""

    ALL = "all"
    CLOSEST = "closest"  # the so many that lie closest together
    GROUP = "group"  # as many as possible within the limit
    FIRST = "first"  # titrate until so many agree, then stop
    MARKED = "marked"  # as the person marked them


@dataclass(frozen=True)
class SelectionRule:
    """One rule.

    Attributes:
        name: stable name, as written in method and determination files.
        kind: see :class:`Kind`.
        members: how many trials the rule averages; 0 where it leaves that open.
        words: the rule in words, for the report.
    """

    name: str
    kind: Kind
    members: int
    words: str

    @property
    def needs_limit(self) -> bool:
        """Return whether the rule cannot work without a concordance limit."""
        return self.kind in (Kind.GROUP, Kind.FIRST)

    @property
    def averages_regardless(self) -> bool:
        """Return whether the rule's trials are averaged also when they do not agree."""
        return self.kind in (Kind.ALL, Kind.MARKED)

    @property
    def stops(self) -> bool:
        """Return whether the values decide how many trials are made."""
        return self.kind is Kind.FIRST


# Common practice in teaching laboratories, no source for the wording.
RULES: dict[str, SelectionRule] = {
    rule.name: rule
    for rule in (
        SelectionRule("all-accurate", Kind.ALL, 0, "all accurate trials"),
        SelectionRule("closest-pair", Kind.CLOSEST, 2, "the two accurate trials that lie closest together"),
        SelectionRule(
            "closest-three", Kind.CLOSEST, 3, "the three accurate trials that lie closest together"
        ),
        SelectionRule(
            "largest-group", Kind.GROUP, 0, "the largest group of accurate trials within the limit"
        ),
        SelectionRule("first-two", Kind.FIRST, 2, "titrate until two accurate trials agree within the limit"),
        SelectionRule(
            "first-three", Kind.FIRST, 3, "titrate until three accurate trials agree within the limit"
        ),
        SelectionRule("as-marked", Kind.MARKED, 0, "the accurate trials that were marked"),
    )
}


@dataclass(frozen=True)
class Choice:
    """What a rule picks from a series.

    Attributes:
        chosen: positions in the series, in the order made; empty when nothing satisfies the rule.
        looked_at: how many trials of the series the rule had looked at when it was satisfied (all of them,
            but for a rule that stops).
        spread: largest less smallest of the chosen; nan when none is.
    """

    chosen: tuple[int, ...]
    looked_at: int
    spread: float


def choose(
    values: Sequence[float], rule: SelectionRule, limit: float | None, marked: Sequence[int]
) -> Choice:
    """Return what a rule picks from a series of accurate trials; nothing if it is not satisfied.

    Args:
        values: accurate trials in the order made.
        rule: the rule.
        limit: concordance limit; needed by the rules that say so, not looked at by the others.
        marked: positions within ``values`` that the person marked.
    """
    count = len(values)
    if rule.kind is Kind.CLOSEST:
        return closest(values, rule.members)
    if rule.kind is Kind.GROUP and limit is not None:
        return largest_group(values, limit)
    if rule.kind is Kind.FIRST and limit is not None:
        return first_to_agree(values, rule.members, limit)
    picked = tuple(marked) if rule.kind is Kind.MARKED else tuple(range(count))
    return Choice(picked, count, spread_of(values, picked))


def slack(values: Sequence[float]) -> float:
    """Return the difference that counts as none, from the size of the values."""
    return _NOISE * max((abs(v) for v in values), default=0.0)


def spread_of(values: Sequence[float], positions: Iterable[int]) -> float:
    """Return largest less smallest of the values at ``positions``; nan when there are none."""
    picked = [values[p] for p in positions]
    return max(picked) - min(picked) if picked else float("nan")


def closest(values: Sequence[float], members: int) -> Choice:
    """Return the ``members`` values that lie closest together; nothing if there are fewer."""
    count = len(values)
    if members < 1 or count < members:
        return Choice((), count, float("nan"))
    noise = slack(values)
    order = sorted(range(count), key=lambda p: (values[p], p))
    ordered = [values[p] for p in order]
    narrowest = min(ordered[i + members - 1] - ordered[i] for i in range(count - members + 1))
    candidates = []
    for start in sorted(set(ordered)):
        inside = order[bisect_left(ordered, start) : bisect_right(ordered, start + narrowest + noise)]
        if len(inside) >= members:
            candidates.append(tuple(sorted(inside)[:members]))
    chosen = _complete_first(candidates)
    return Choice(chosen, count, spread_of(values, chosen))


def largest_group(values: Sequence[float], limit: float) -> Choice:
    """Return the largest group within ``limit`` (its narrowest, if several); nothing if no two agree."""
    count, noise = len(values), slack(values)
    order = sorted(range(count), key=lambda p: (values[p], p))
    ordered = [values[p] for p in order]
    groups = [
        tuple(sorted(order[bisect_left(ordered, start) : bisect_right(ordered, start + limit + noise)]))
        for start in sorted(set(ordered))
    ]
    size = max((len(g) for g in groups), default=0)
    if size < 2:
        return Choice((), count, float("nan"))
    groups = [g for g in groups if len(g) == size]
    narrowest = min(spread_of(values, g) for g in groups)
    chosen = _complete_first(g for g in groups if spread_of(values, g) <= narrowest + noise)
    return Choice(chosen, count, spread_of(values, chosen))


def first_to_agree(values: Sequence[float], members: int, limit: float) -> Choice:
    """Return the first ``members`` trials that agree within ``limit``, looking at one trial after the other.

    Of several groups completed by the same trial the narrowest counts.
    """
    noise = slack(values)
    for last, newest in enumerate(values):
        # No group had agreed before, so only few earlier trials can lie within the limit of the newest.
        near = [p for p in range(last) if abs(values[p] - newest) <= limit + noise]
        groups = [(*others, last) for others in combinations(near, members - 1)]
        groups = [g for g in groups if spread_of(values, g) <= limit + noise]
        if groups:
            narrowest = min(spread_of(values, g) for g in groups)
            chosen = _complete_first(g for g in groups if spread_of(values, g) <= narrowest + noise)
            return Choice(chosen, last + 1, spread_of(values, chosen))
    return Choice((), len(values), float("nan"))


def _complete_first(groups: Iterable[tuple[int, ...]]) -> tuple[int, ...]:
    """Return the group whose last member was made first, then its second last, and so on."""
    return min(groups, key=lambda group: group[::-1])
