"""The numbers of a working as printed: with guard digits, so that retyping them gives what is printed.

Every line is worked out once more, exactly, from the printed numbers it uses, and then rounded to its own
place. So a person with a calculator finds each printed result to its last digit. The places are chosen so
that what is lost is far below the uncertainty of the result; the result itself is never taken from here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Context, Decimal
from fractions import Fraction

import numpy as np

from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.expression import Expression, Number, Operation, Symbol, power_of
from halfdrop.core.measure.rounding import Reported
from halfdrop.core.measure.working import ANALYST, CLASS, Step
from halfdrop.core.titration.work import Found, Worked

# Rounding a line may move the result by so much of its uncertainty; less, until the reported digits hold.
SHARES = (1e-3, 1e-4, 1e-5, 1e-6)
FEWEST, MOST = 3, 15  # significant digits of a printed number
ALONE = 5  # significant digits of a number that the result does not depend on
_EXACT = Context(prec=60)
_TOKEN = re.compile(r"[-−]?\d+(?:[.,]\d+)?")

Values = tuple[Fraction, ...]  # one for all, or one for each trial


@dataclass(frozen=True)
class Printed:
    """Numbers of one working as printed.

    Attributes:
        worked: the working, with those it rests on.
        share: what rounding a line may cost, see :data:`SHARES`.
        texts: name of an input or line -> its number as printed, one for all or one for each trial.
        values: the same as exact numbers. A ratio from an equation is exact and printed as a fraction.
    """

    worked: Worked
    share: float
    texts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    values: dict[str, Values] = field(default_factory=dict)

    def text(self, name: str, trial: int | None = None) -> str:
        """Return a number as printed, with a hyphen for a minus sign."""
        texts = self.texts[name]
        return texts[0] if len(texts) == 1 or trial is None else texts[trial]

    def differs(self, name: str) -> bool:
        """Tell whether a quantity has one number for each trial."""
        return self.worked.working.scopes[name] not in (CLASS, ANALYST)

    def used(self, series: str) -> tuple[int, ...]:
        """Return the positions of the averaged trials of a series."""
        return tuple(int(k) for k in np.flatnonzero(self.worked.weights[series]))

    def total(self, formula: Expression, trials: Sequence[int]) -> Fraction:
        """Return the sum of a formula over trials, exactly, from printed numbers."""
        return sum((self._at(formula, k) for k in trials), Fraction(0))

    def total_text(self, formula: Expression, trials: Sequence[int]) -> str:
        """Return the sum of a formula over trials with all its digits: printed numbers add up exactly."""
        total = self.total(formula, trials)
        return f"{_EXACT.divide(Decimal(total.numerator), Decimal(total.denominator)):f}"

    def factor(self, step: Step) -> Fraction:
        """Return the factor of a line that changes the unit, 1 for any other."""
        changes = isinstance(step.formula, Operation) and step.formula.op == "convert"
        return self.worked.working.conversion(step) if changes else Fraction(1)

    def series_of(self, formula: Expression) -> str:
        """Return the series of trials by which a formula differs; empty for none."""
        if isinstance(formula, Symbol):
            return self.worked.working.scopes[formula.name] if self.differs(formula.name) else ""
        if isinstance(formula, Operation):
            return next((found for arg in formula.args if (found := self.series_of(arg))), "")
        return ""

    # -------------------------------------------------------------------------------------------- filling in

    def fill(self) -> None:
        """Print every input that is used, then every line from what is printed before it."""
        for name in self.worked.evaluation.lines:
            if name in self.worked.working.inputs:
                self._input(name, self.worked.estimates[name])
        for name, step in self.worked.working.steps.items():
            self._line(name, step)

    def _input(self, name: str, estimate: Estimate) -> None:
        values = np.atleast_1d(np.asarray(estimate.value, dtype=float))
        written = (
            estimate.written if isinstance(estimate.written, tuple) else (estimate.written,) * len(values)
        )
        if self.worked.working.inputs[name].role == "ratio":
            exact = tuple(
                Fraction(text) if text else Fraction(float(v))
                for v, text in zip(values, written, strict=True)
            )
            self.values[name], self.texts[name] = exact, tuple(str(one) for one in exact)
            return
        digits = [_as_written(float(v), text) for v, text in zip(values, written, strict=True)]
        place = self._place(name)
        self._keep(
            name, [one if -_exponent(one) <= max(place, 6) else _rounded(one, place) for one in digits]
        )

    def _line(self, name: str, step: Step) -> None:
        count = len(np.atleast_1d(self.worked.evaluation.lines[name]))
        factor = self.factor(step)
        exact = [self._at(step.formula, k) * factor for k in range(count)]
        place = self._place(name)
        padded = isinstance(step.formula, Operation) and step.formula.op == "/"
        least = self._decimals(step.formula) + _places_down(factor)
        self._keep(name, [self._digits(value, place, padded=padded) for value in exact], min(least, place))

    def _decimals(self, formula: Expression) -> int:
        """Return the decimals that a sum keeps of its parts; 0 where other operations make their own."""
        if isinstance(formula, Symbol) and formula.name in self.texts:
            return len(self.texts[formula.name][0].partition(".")[2])
        if not isinstance(formula, Operation) or formula.op in ("/", "^"):
            return 0
        if formula.op == "*":
            neutral = [_is_whole(arg) or self._at(arg, 0) == 1 for arg in formula.args]
            return self._decimals(formula.args[neutral.index(True) - 1]) if any(neutral) else 0
        return max(self._decimals(arg) for arg in formula.args)

    def _digits(self, value: Fraction, place: int, *, padded: bool) -> Decimal:
        """Return a value as printed: all its digits when they end early enough, else rounded to its place."""
        whole = _finite(value)
        if whole is None or -_exponent(whole) > place:
            return _rounded(_EXACT.divide(Decimal(value.numerator), Decimal(value.denominator)), place)
        return _rounded(whole, place) if padded else whole

    def _keep(self, name: str, numbers: list[Decimal], least: int = 0) -> None:
        """Keep numbers under a name, all of its trials with as many decimals."""
        decimals = max(0, least, *(-_exponent(one) for one in numbers))
        self.texts[name] = tuple(f"{_rounded(one, decimals) + 0:f}" for one in numbers)
        self.values[name] = tuple(Fraction(one) for one in numbers)

    def _place(self, name: str) -> int:
        """Return how many decimals a number needs."""
        size = float(np.max(np.abs(self.worked.evaluation.lines[name])))
        leading = math.floor(math.log10(size)) if size > 0 and math.isfinite(size) else 0
        finest = max((self._weight(name, one) for one in self.worked.results), default=0.0)
        place = math.ceil(-math.log10(2 * self.share / finest)) if finest > 0 else ALONE - 1 - leading
        return max(0, min(max(place, FEWEST - 1 - leading), MOST - 1 - leading))

    def _weight(self, name: str, found: Found) -> float:
        """Return how many standard uncertainties a result moves by for one unit of an input or line.

        Trials count together: readings end in the same few digits, so their rounding does not average out.
        """
        sensitivity = float(np.sum(np.abs(found.evaluation.sensitivities.get(name, 0.0))))
        return sensitivity / found.u if found.u > 0 else 0.0

    def _at(self, formula: Expression, trial: int) -> Fraction:
        """Return a formula worked out from printed numbers, for one trial where it differs by trial."""
        if isinstance(formula, Number):
            return Fraction(formula.text)
        if isinstance(formula, Symbol):
            values = self.values[formula.name]
            return values[trial] if len(values) > 1 else values[0]
        if formula.op in ("mean", "sum"):
            return self._over_trials(formula)
        if formula.op == "^":
            return self._at(formula.args[0], trial) ** power_of(formula)
        if formula.op == "convert":
            return self._at(formula.args[0], trial)
        left, right = (self._at(arg, trial) for arg in formula.args)
        return _SUMS[formula.op](left, right)

    def _over_trials(self, formula: Operation) -> Fraction:
        used = self.used(self.series_of(formula.args[0]))
        total = self.total(formula.args[0], used)
        return total / len(used) if formula.op == "mean" else total


_SUMS: Mapping[str, Callable[[Fraction, Fraction], Fraction]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
}


def printed(worked: Worked, reported: Mapping[str, Reported]) -> Printed:
    """Return the numbers of a working as printed, with digits enough that results round to what is reported.

    Args:
        worked: the working.
        reported: line of a result -> how that result is reported.
    """
    found = Printed(worked, SHARES[-1])
    for share in SHARES:
        found = Printed(worked, share)
        found.fill()
        if all(_agrees(found.text(line), one) for line, one in reported.items()):
            break
    return found


def _agrees(text: str, reported: Reported) -> bool:
    if reported.place is None:
        return True
    shown = Decimal(reported.value).scaleb(reported.exponent)
    return Decimal(text).quantize(Decimal(1).scaleb(reported.place), context=_EXACT) == shown


def _as_written(value: float, written: str) -> Decimal:
    """Return a number as a person wrote it, with its last zeros, or the shortest for the float."""
    for token in _TOKEN.findall(written):
        digits = Decimal(token.replace(",", ".").replace("−", "-"))
        if float(digits) == value:
            return digits
    return Decimal(f"{value:.15g}")


def _places_down(factor: Fraction) -> int:
    """Return by how many places a power of ten moves digits down: 3 for 1/1000; 0 for another factor."""
    places = round(-math.log10(factor))
    return places if Fraction(10) ** -places == factor else 0


def _is_whole(formula: Expression) -> bool:
    return isinstance(formula, Number) and "." not in formula.text


def _finite(value: Fraction) -> Decimal | None:
    """Return a fraction as a decimal with all its digits, None if they never end (or not soon)."""
    exact = _EXACT.divide(Decimal(value.numerator), Decimal(value.denominator))
    return exact if Fraction(exact) == value else None


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def _rounded(value: Decimal, decimals: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-decimals), context=_EXACT)
