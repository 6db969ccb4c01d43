"""The repeatability of the averaged trials: one input, from one named source, counted once."""

from __future__ import annotations

import math
from dataclasses import dataclass

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.estimate import Estimate, Factor
from halfdrop.core.measure.quantiles import f_tail
from halfdrop.core.measure.statistics import pooled_standard_deviation, raise_to_step
from halfdrop.core.titration.record import From, Repeatability

# How well a method's typical standard deviation is known: a relative standard uncertainty of a quarter is
# worth 8 degrees of freedom (JCGM 100:2008, G.4.2: nu = 1/2 (du/u)^-2). The quarter: common practice.
TYPICAL_DOF = 8.0
RARE = 0.01  # trials so much wilder than is known of them are a finding


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
        counts: whether, by default, they have a say in their own repeatability (enough, fairly chosen).
        honest: whether the rule leaves them the scatter that titres have.
    """

    own_sd: float
    count: int
    per_ml: float
    mean: float
    step: float
    readings: int
    counts: bool
    honest: bool


@dataclass(frozen=True)
class Known:
    """A standard deviation of one trial, in the unit of what is averaged, and where it is known from."""

    sd: float
    dof: float
    words: str
    source: From


def scatter_of(trials: Trials, asked: Repeatability, typical_ml: float, typical_source: str) -> Scatter:
    """Choose the source of the repeatability and return what it says.

    Args:
        trials: these trials.
        asked: what the person asked for.
        typical_ml: the method's typical standard deviation of one titre, mL.
        typical_source: where that comes from.
    """
    if asked.source is From.PARTS:
        return _from_parts(trials, asked)
    earlier = _earlier(trials, asked, typical_ml, typical_source)
    own = f"scatter of these {trials.count} trials"
    if asked.source is From.TRIALS and trials.count > 1:
        warning = () if trials.honest else (_stopped(),)
        return _floored(trials, Known(trials.own_sd, trials.count - 1, own, From.TRIALS), warning)
    chance = _chance(trials, earlier)
    wild = (_wild(trials, earlier, chance),) if chance < RARE else ()
    if asked.source is not From.DEFAULT or not trials.counts:
        return _floored(trials, earlier, wild)
    if wild:
        return _floored(trials, Known(trials.own_sd, trials.count - 1, own, From.TRIALS), wild)
    sd, dof = pooled_standard_deviation([earlier.sd, trials.own_sd], [earlier.dof, trials.count - 1])
    words = f"{own} pooled with {earlier.words}"
    return _floored(trials, Known(float(sd), float(dof), words, From.TRIALS), ())


def _floored(trials: Trials, known: Known, findings: tuple[Finding, ...]) -> Scatter:
    """Raise what is known to what rounding to the recording step alone must cause."""
    floored = raise_to_step(known.sd, trials.step * trials.per_ml, trials.readings)
    if floored.acted:
        findings = (*findings, Finding("repeatability-floor", Severity.NOTE, floored.words))
    sd, own_dof = floored.standard_deviation, trials.count - 1
    return Scatter(sd, known.dof, known.source, known.words, trials.own_sd, own_dof, findings=findings)


def _earlier(trials: Trials, asked: Repeatability, typical_ml: float, typical_source: str) -> Known:
    """Return what is known from other work: the pooled value given, or else the method's typical one."""
    words = asked.words or "the pooled standard deviation given"
    if asked.source is not From.METHOD and asked.sd_ml is not None:
        return Known(asked.sd_ml * trials.per_ml, asked.dof, words, From.POOLED)
    if asked.source is not From.METHOD and asked.relative is not None:
        return Known(asked.relative * abs(trials.mean), asked.dof, words, From.POOLED)
    words = f"the method's typical {typical_ml:g} mL for one titre ({typical_source})"
    return Known(typical_ml * trials.per_ml, TYPICAL_DOF, words, From.METHOD)


def _from_parts(trials: Trials, asked: Repeatability) -> Scatter:
    reading = (asked.reading_ml or 0.0) * math.sqrt(trials.readings) * trials.per_ml
    drop = (asked.drop_ml or 0.0) / math.sqrt(12) * trials.per_ml
    parts = (("reading", reading), ("drop", drop))
    words = (
        f"put together from {trials.readings} readings of {asked.reading_ml or 0:g} mL "
        f"and a drop of {asked.drop_ml or 0:g} mL, evenly spread"
    )
    return Scatter(
        math.hypot(reading, drop), math.inf, From.PARTS, words, trials.own_sd, trials.count - 1, parts
    )


def _chance(trials: Trials, earlier: Known) -> float:
    """Return the probability that trials scatter at least as much as these if what is known is true."""
    if trials.count < 2 or not earlier.sd > 0:
        return 1.0
    return f_tail((trials.own_sd / earlier.sd) ** 2, trials.count - 1, earlier.dof)


def _wild(trials: Trials, earlier: Known, chance: float) -> Finding:
    what = (
        "They speak for themselves here" if trials.counts else "With four or more they speak for themselves"
    )
    return Finding(
        "scatter-larger-than-known",
        Severity.ATTENTION,
        f"These trials scatter {trials.own_sd / earlier.sd:.1f} times as much as is known of such titres "
        f"({earlier.words}). {what}. Look first for a trial that went wrong.",
        evidence={"own_sd": trials.own_sd, "known_sd": earlier.sd, "chance": chance},
    )


def _stopped() -> Finding:
    return Finding(
        "own-scatter-after-stopping",
        Severity.ATTENTION,
        "The rule stops when trials agree, so these trials look closer together than titres are, "
        "and their scatter makes the uncertainty too small. Take a standard deviation from other work "
        '([repeatability] from = "pooled" or "method").',
    )
