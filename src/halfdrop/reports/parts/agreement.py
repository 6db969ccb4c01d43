"""Whether trials agree: by the rule, by the statistics, and drawn on their scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from halfdrop.core.measure.outliers import OutlierTest, Verdict, dixon, grubbs
from halfdrop.core.titration.compare import Compared
from halfdrop.core.titration.work import Worked
from halfdrop.reports.content import Beside, Block, Facts, Figure, Paragraph, Quiet, Strong, Words, words
from halfdrop.reports.figures import Mark, trial_scale
from halfdrop.reports.maths import Maths
from halfdrop.reports.picture import Picture
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import beside, listed, minus, sentence, significant, trials

FATES = {"used": "averaged", "accurate": "not averaged"}
NAMED = 20  # marks that can be named in one drawing; of more, only how many there are is said


def agreement(compared: Compared, worked: Worked) -> list[Block]:
    """Say whether the trials agree, by the rule and by the statistics, and draw them on their scale."""
    figure = Figure(_picture(compared), "", _alt(compared))
    return [
        Paragraph((Strong(verdict(compared)),), "lead"),
        Beside(figure, (Facts(tuple(_rule(compared, worked))),)),
        Facts(tuple(_statistics(compared))),
    ]


def verdict(compared: Compared) -> str:
    """Return in one sentence whether the trials agree."""
    selection, unit = compared.selection, compared.unit
    if not selection.used:
        return "There is no accurate trial to average."
    used = trials(_labels(compared, selection.used))
    if len(selection.used) == 1:
        return sentence(f"{used} stands alone: agreement cannot be judged")
    span = with_unit(significant(selection.spread), unit)
    if selection.concordant is None or compared.limit is None:
        return sentence(f"{used} are averaged; they span {span}")
    limit = with_unit(significant(compared.limit), unit)
    if selection.concordant:
        return sentence(f"{used} agree: they span {span}, and {limit} is allowed")
    return f"The trials do not agree within {limit}: {used} are averaged and span {span}."


def _labels(compared: Compared, positions: Sequence[int]) -> list[str]:
    return [compared.trials[position].label for position in positions]


def _mean(compared: Compared) -> float:
    return sum(w * v for w, v in zip(compared.selection.weights, compared.values, strict=True))


def _mean_text(compared: Compared) -> str:
    """Return the mean to the second digit of the scatter; without one, as the trials are shown."""
    spread = compared.summary.standard_deviation
    if math.isfinite(spread) and spread > 0:
        return beside(_mean(compared), spread)
    return minus(f"{_mean(compared):.{decimals_of(compared)}f}")


def _rule(compared: Compared, worked: Worked) -> Iterator[tuple[str, Words]]:
    selection, unit = compared.selection, compared.unit
    yield "Rule", words(f"average {selection.rule.words}.")
    if compared.limit is not None:
        yield "Limit", words(_limit(compared, worked))
    mean = _mean_text(compared)
    yield (
        "Mean used",
        words(Strong(with_unit(mean, unit)), f", of {trials(_labels(compared, selection.used))}."),
    )
    factor = f"u(mean) = {selection.factor.value:.3f} × standard deviation"
    yield "Factor", words(f"{factor}; {selection.factor.source}.")
    for line, one in compared.scatter.items():
        of = (_symbol(line, worked), ": ") if len(compared.scatter) > 1 else ()
        known = f"{one.dof:.3g} degrees of freedom" if math.isfinite(one.dof) else "taken as exactly known"
        value = Strong(with_unit(significant(one.sd), unit))
        yield "Repeatability", words(*of, value, f" for one trial, {known}: {one.words}.")


def _symbol(line: str, worked: Worked) -> Maths:
    """Return the symbol a line is shown with: that of the line it hides behind."""
    while line in worked.built.hides:
        line = worked.built.hides[line]
    return symbol(worked.built.working.steps[line].symbol)


def _limit(compared: Compared, worked: Worked) -> str:
    own, agreed = worked.determination.choice.limit_ml, worked.method.agreement
    asked = f"{own:g} mL, as asked for" if own is not None else f"{agreed.limit_ml} mL ({agreed.source})"
    if not compared.by_results:
        return f"{asked}."
    return f"{asked}; as results, {with_unit(significant(compared.limit or 0.0), compared.unit)}."


# ------------------------------------------------------------------------------------------------- statistics


def _statistics(compared: Compared) -> Iterator[tuple[str, Words]]:
    """Yield the figures of the accurate trials, whatever the rule averages."""
    one, unit = compared.summary, compared.unit
    if one.count > 1:
        spread = one.standard_deviation
        names = trials(_labels(compared, compared.selection.accurate))
        yield (
            "All accurate trials",
            words(
                f"{names}: mean {with_unit(beside(one.mean, spread), unit)}, "
                f"standard deviation {with_unit(significant(spread), unit)}, "
                f"relative average deviation {significant(one.relative_average_deviation_ppt)} ppt, "
                f"span {with_unit(significant(one.value_range), unit)}."
            ),
        )
        interval = f"{beside(one.lower, spread)} to {with_unit(beside(one.upper, spread), unit)}"
        yield (
            f"{100 * one.probability:g} % interval",
            words(f"{interval} for their mean, from their own scatter (Student's t)."),
        )
    tests = grubbs(compared.accurate), dixon(compared.accurate)
    if all(test.verdict is Verdict.NOT_POSSIBLE for test in tests):
        yield "Outlier tests", words("Grubbs' and Dixon's tests need at least three values.")
        return
    if all(test.verdict is Verdict.NO_POWER for test in tests):
        yield (
            "Outlier tests",
            words(_no_power(tests), " ", Quiet(" ".join(_convention(test) for test in tests))),
        )
        return
    for test in tests:
        yield test.test, words(f"{_with_label(test, compared)} ", Quiet(_convention(test)))


def _no_power(tests: Sequence[OutlierTest]) -> str:
    found = [f"{test.test} {test.statistic:.3f}, limit {test.limit:.4f}" for test in tests]
    return f"No power with three values: nothing follows from {listed(found)}."


def _convention(test: OutlierTest) -> str:
    return f"Convention: {test.convention}; level {test.level:g}."


def _with_label(test: OutlierTest, compared: Compared) -> str:
    """Return what a test says, with the trial called as the page calls it."""
    if test.suspect is None:
        return test.words
    label = compared.trials[compared.selection.accurate[test.suspect]].label
    count = test.suspect + 1
    return test.words.replace(f"Value {count} ", f"Trial {label} ").replace(
        f"value {count} ", f"trial {label} "
    )


# ------------------------------------------------------------------------------------------------ the figure


def decimals_of(compared: Compared) -> int:
    """Return the decimals of what was compared: those of a titre, or two digits of the scatter."""
    if not compared.by_results:
        written = max((r.decimals for t in compared.trials for r in t.readings.values()), default=2)
        exact = all(abs(value - round(value, written)) < 1e-9 for value in compared.values)
        return written if exact else written + 1
    spreads = [one.sd for one in compared.scatter.values() if one.sd > 0]
    spread = min(spreads, default=abs(compared.summary.mean) * 1e-4) or 1.0
    return max(0, 1 - math.floor(math.log10(spread)))


def _picture(compared: Compared) -> Picture:
    limit = None if compared.limit is None else (compared.limit, f"limit\n{significant(compared.limit)}")
    mark = Mark(_mean(compared), f"mean {_mean_text(compared)}", "mean")
    return trial_scale(
        [*_marks(compared), mark], limit, named=len(compared.trials) <= NAMED, tube=compared.unit == "mL"
    )


def _marks(compared: Compared) -> list[Mark]:
    selection, decimals = compared.selection, decimals_of(compared)
    used, accurate = frozenset(selection.used), frozenset(selection.accurate)
    marks = []
    for k, (trial, value) in enumerate(zip(compared.trials, compared.values, strict=True)):
        kind = "used" if k in used else "accurate" if k in accurate else "aside"
        fate = FATES.get(kind) or trial.state.value
        marks.append(Mark(value, f"{trial.label}: {minus(f'{value:.{decimals}f}')}, {fate}", kind))
    return marks


def _alt(compared: Compared) -> str:
    marks = _marks(compared)
    told = (
        "; ".join(f"trial {mark.text}" for mark in marks) if len(marks) <= NAMED else f"{len(marks)} trials"
    )
    return f"The trials on a scale in {compared.unit}: {told}. {verdict(compared)}"
