"""The repeatability of the averaged trials: one input, from one named source, counted once."""

from __future__ import annotations

import math
from dataclasses import dataclass

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.estimate import Estimate, Factor
from halfdrop.core.measure.statistics import pooled_standard_deviation, raise_to_step
from halfdrop.core.titration.record import From, Repeatability

# How well a method's typical standard deviation is known: a relative standard uncertainty of a quarter is
# worth 8 degrees of freedom (JCGM 100:2008, G.4.2: nu = 1/2 (du/u)^-2). The quarter itself: common practice, no source.
TYPICAL_DOF = 8.0
ENOUGH = 4  # from this many accurate trials on, they speak for themselves
PROBABLE_LEVEL = 0.01


@dataclass(frozen=True)
class Scatter:
    """Standard deviation of one accurate trial, in the unit of what is averaged.

    Attributes:
        sd: what is used.
        dof: its degrees of freedom.
        source: which source, see :class:`~halfdrop.core.titration.record.From`.
        words: the source in words, for the report.
        own_sd: scatter of these trials themselves, nan for a single one.
        own_dof: its degrees of freedom.
        parts: for ``parts``: heading in the budget -> standard deviation it adds.
        findings: what a person should know about it.
    """

    sd: float
    dof: float
    source: From
    words: str
    own_sd: float
    own_dof: int
    parts: tuple[tuple[str, float], ...] = ()
    findings: tuple[Finding, ...] = ()

    def estimate(self, factor: float, whose: str) -> Estimate:
        """Return the repeatability of the mean as an input of the working: zero, with its uncertainty.

        Args:
            factor: standard uncertainty of the mean over that of one trial.
            whose: names these trials, so that those of another determination are not taken for the same.
        """
        if self.parts:
            factors = tuple(Factor(f"{whose}/{name}", sd * factor, group=name) for name, sd in self.parts)
            return Estimate(0.0, factors=factors, source=self.words)
        return Estimate(0.0, self.sd * factor, dof=self.dof, source=self.words)


@dataclass(frozen=True)
class Trials:
    """What is known of the trials whose scatter is wanted.

    Attributes:
        own_sd: standard deviation of the accurate trials, unit of what is averaged; nan for one trial.
        count: number of accurate trials.
        per_ml: change of what is averaged per mL of titre; 1 where titres are averaged.
        mean: mean of the accurate trials.
        step: recording step of a reading, mL.
        readings: readings that make one titre.
        honest: whether the rule lets these trials speak for their own scatter.
    """

    own_sd: float
    count: int
    per_ml: float
    mean: float
    step: float
    readings: int
    honest: bool


def scatter_of(trials: Trials, asked: Repeatability, typical_ml: float, typical_source: str) -> Scatter:
    """Choose the source of the repeatability and return what it says.

    Args:
        trials: these trials.
        asked: what the person asked for.
        typical_ml: the method's typical standard deviation of one titre, mL.
        typical_source: where that comes from.
    """
    source = _source(trials, asked)
    if source is From.PARTS:
        return _from_parts(trials, asked)
    sd, dof, words = _pooled(trials, asked, typical_ml, typical_source)
    if source is From.TRIALS:
        sd, dof, words = trials.own_sd, trials.count - 1, f"scatter of these {trials.count} trials"
        if asked.source is From.DEFAULT and _pooled_given(asked):
            sds, dofs = pooled_standard_deviation([_in_unit(trials, asked), trials.own_sd], [asked.dof, trials.count - 1])
            sd, dof = float(sds), float(dofs)
            words = f"scatter of these {trials.count} trials pooled with {asked.words or 'the earlier value given'}"
    floored = raise_to_step(sd, trials.step * trials.per_ml, trials.readings)
    findings = [Finding("repeatability-floor", Severity.NOTE, floored.words)] if floored.acted else []
    findings += _comparison(trials, source, sd, dof)
    return Scatter(
        floored.standard_deviation, dof, source, words, trials.own_sd, trials.count - 1, findings=tuple(findings)
    )


def _source(trials: Trials, asked: Repeatability) -> From:
    if asked.source is not From.DEFAULT:
        return From.TRIALS if asked.source is From.TRIALS and trials.count > 1 else _else(asked)
    if trials.count >= ENOUGH and trials.honest:
        return From.TRIALS
    return From.POOLED if _pooled_given(asked) else From.METHOD


def _else(asked: Repeatability) -> From:
    if asked.source is From.TRIALS:
        return From.POOLED if _pooled_given(asked) else From.METHOD
    return asked.source


def _pooled_given(asked: Repeatability) -> bool:
    return asked.sd_ml is not None or asked.relative is not None


def _in_unit(trials: Trials, asked: Repeatability) -> float:
    if asked.sd_ml is not None:
        return asked.sd_ml * trials.per_ml
    return (asked.relative or 0.0) * abs(trials.mean)


def _pooled(trials: Trials, asked: Repeatability, typical_ml: float, typical_source: str) -> tuple[float, float, str]:
    if _pooled_given(asked) and asked.source is not From.METHOD:
        return _in_unit(trials, asked), asked.dof, asked.words or "pooled standard deviation as given"
    words = f"the method's typical {typical_ml:g} mL for one titre ({typical_source})"
    return typical_ml * trials.per_ml, TYPICAL_DOF, words


def _from_parts(trials: Trials, asked: Repeatability) -> Scatter:
    reading = (asked.reading_ml or 0.0) * math.sqrt(trials.readings) * trials.per_ml
    drop = (asked.drop_ml or 0.0) / math.sqrt(12) * trials.per_ml
    parts = (("reading", reading), ("drop", drop))
    words = (
        f"put together from {trials.readings} readings of {asked.reading_ml or 0:g} mL "
        f"and a drop of {asked.drop_ml or 0:g} mL, evenly spread"
    )
    return Scatter(math.hypot(reading, drop), math.inf, From.PARTS, words, trials.own_sd, trials.count - 1, parts)


def _comparison(trials: Trials, source: From, sd: float, dof: float) -> list[Finding]:
    """Say so when these trials scatter more than the value that is used for them can explain."""
    if source is From.TRIALS and not trials.honest:
        return [_selected()]
    if source in (From.TRIALS, From.PARTS) or trials.count < 2 or not sd > 0:
        return []
    from scipy.special import fdtrc, chdtrc  # here, because it takes a tenth of a second to load

    ratio, nu = (trials.own_sd / sd) ** 2, trials.count - 1
    chance = float(fdtrc(nu, dof, ratio) if math.isfinite(dof) else chdtrc(nu, nu * ratio))
    if chance >= PROBABLE_LEVEL:
        return []
    return [
        Finding(
            "scatter-larger-than-typical",
            Severity.ATTENTION,
            f"These trials scatter {trials.own_sd / sd:.1f} times as much as the value used for their repeatability "
            "says. Look for a trial that went wrong, or take the scatter of these trials "
            '([repeatability] from = "trials") with at least four of them.',
            evidence={"own_sd": trials.own_sd, "used_sd": sd, "chance": chance},
        )
    ]


def _selected() -> Finding:
    return Finding(
        "own-scatter-after-stopping",
        Severity.ATTENTION,
        "The rule stops when trials agree, so these trials look closer together than titres are, and their scatter "
        "makes the uncertainty too small. Take a standard deviation from other work "
        '([repeatability] from = "pooled" or "method").',
    )
