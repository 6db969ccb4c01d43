"""What a determination is: the nouns that stand between a page of readings and its working."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from halfdrop.core.findings import Place
from halfdrop.core.glassware.calibration import Calibration as Corrections
from halfdrop.core.glassware.readings import Reading, Segment
from halfdrop.core.measure.estimate import Shape


class State(StrEnum):
    """What became of a trial. Nothing is dropped: a trial that is not averaged stays, with its reason."""

    ACCURATE = "accurate"
    ROUGH = "rough"
    LEFT_OUT = "left out"
    ABANDONED = "abandoned"


@dataclass(frozen=True)
class Refill:
    """A burette filled again within a trial: readings before and after, and the one it was on the way to."""

    before: Reading
    after: Reading
    towards: str = "final"


@dataclass(frozen=True)
class Given:
    """The value of a quantity as a person gave it, or as the method supplies it.

    Attributes:
        name: the quantity.
        value: in the unit of the quantity.
        unit: that unit.
        u: standard uncertainty, same unit.
        shape: its distribution.
        dof: its degrees of freedom.
        key: which object it is (``pipette:P3``, ``solution:N-2``); "" = nobody else's.
        written: the text of the value, or ``gross - tare`` for a mass by difference.
        gross, tare: the two weighings of a mass by difference, or None.
        u_each: standard uncertainty of each weighing.
        source: where the value comes from, in words.
        why_u: where the uncertainty comes from, in words.
        material: glass, for a volume; "" = not known.
        temperature_degc: of the solution in it, when it is not the room's.
        place: where it was written.
    """

    name: str
    value: float
    unit: str
    u: float = 0.0
    shape: Shape = Shape.NORMAL
    dof: float = math.inf
    key: str = ""
    written: str = ""
    gross: float | None = None
    tare: float | None = None
    u_each: float = 0.0
    source: str = ""
    why_u: str = ""
    material: str = ""
    temperature_degc: float | None = None
    place: Place = field(default_factory=Place)


@dataclass(frozen=True)
class Reason:
    """Why a trial was left out or abandoned: in words, by whom, when (as written)."""

    why: str
    who: str = ""
    when: str = ""


@dataclass(frozen=True)
class Trial:
    """One trial as written down.

    Attributes:
        label: number or name of the trial, unique in its series.
        series: the series it belongs to.
        readings: name of the reading (``initial``, ``final``, ...) -> reading, in the order they were made.
        refills: in the order they happened.
        state: see :class:`State`.
        reason: for a trial left out or abandoned.
        given: quantities of this trial's own (its mass, its aliquot).
        burette: identity of the burette, "" for the determination's.
        read_by, tap_by: who read and who ran the tap.
        time: as written.
        temperature_degc: of the titrant, when noted.
        note: remark.
        place: where it was written.
    """

    label: str
    series: str
    readings: Mapping[str, Reading]
    refills: tuple[Refill, ...] = ()
    state: State = State.ACCURATE
    reason: Reason | None = None
    given: Mapping[str, Given] = field(default_factory=dict)
    burette: str = ""
    read_by: str = ""
    tap_by: str = ""
    time: str = ""
    temperature_degc: float | None = None
    note: str = ""
    place: Place = field(default_factory=Place)

    def segments(self, start: str, end: str) -> tuple[Segment, ...]:
        """Return the deliveries between two readings, cut at the refills on the way.

        A pair of readings that was not made (a second burette not needed) is one delivery of nothing.
        """
        if start not in self.readings and end not in self.readings:
            return (Segment(Reading("0.00"), Reading("0.00")),)
        names = list(self.readings)
        passed = names[names.index(start) + 1 : names.index(end) + 1] or [end]
        stops = [r for r in self.refills if r.towards in passed]
        starts = [self.readings[start], *(r.after for r in stops)]
        ends = [*(r.before for r in stops), self.readings[end]]
        return tuple(Segment(a, b) for a, b in zip(starts, ends, strict=True))


@dataclass(frozen=True)
class Calibration:
    """Corrections of a burette: at each mark, what is added to a reading, with its standard uncertainty.

    Attributes:
        marks_ml, corrections_ml, u_ml: the marks, and what was found at each.
        common_u_ml: standard uncertainty common to all marks, at the last of them.
        source: where this comes from.
        whole: the same with all its factors, where it was saved so; it then counts instead of ``u_ml``.
        dofs: degrees of freedom of each factor of ``whole``.
    """

    marks_ml: tuple[float, ...]
    corrections_ml: tuple[float, ...]
    u_ml: tuple[float, ...]
    common_u_ml: float = 0.0
    source: str = ""
    whole: Corrections | None = None
    dofs: tuple[float, ...] = ()


@dataclass(frozen=True)
class Burette:
    """A burette: identity, scale, how far it may be wrong, and of what glass it is.

    Attributes:
        id: what is written on it; burettes of one id are one object, wherever they appear.
        capacity_ml, division_ml: its scale.
        limit_ml: maximum permissible error of a titre, plus or minus.
        limit_source: the table or engraving it comes from.
        shape: distribution within the limit.
        grade: class A, AS or B.
        calibration: replaces the limit when there is one.
        material: kind of glass.
        place: where it was written.
    """

    id: str
    capacity_ml: Decimal
    division_ml: Decimal
    limit_ml: float
    limit_source: str
    shape: Shape = Shape.RECTANGULAR
    grade: str = ""
    calibration: Calibration | None = None
    material: str = "borosilicate 3.3"
    place: Place = field(default_factory=Place)


@dataclass(frozen=True)
class Room:
    """The temperature of the room that day, and whether volumes are corrected to 20 degC.

    Attributes:
        temperature_degc: measured, or 20 when it was not.
        u_degc: its standard uncertainty (the spread when it was not measured).
        measured: whether it was.
        correct: every volume to 20 degC, or none.
        shape: distribution of the uncertainty.
        key: rooms of one key are one room on one day.
        liquid: how the solutions expand, by the name of a liquid in :mod:`halfdrop.core.glassware.thermal`.
    """

    temperature_degc: float = 20.0
    u_degc: float = 4 / math.sqrt(3)
    measured: bool = False
    correct: bool = False
    shape: Shape = Shape.RECTANGULAR
    key: str = ""
    liquid: str = "water"


class From(StrEnum):
    """Where the repeatability of a titre is taken from: one named source, counted once."""

    DEFAULT = "default"
    TRIALS = "trials"
    POOLED = "pooled"
    METHOD = "method"
    PARTS = "parts"


@dataclass(frozen=True)
class Repeatability:
    """Repeatability as asked for.

    Attributes:
        source: which source.
        sd_ml: pooled standard deviation of one titre, mL, or None.
        relative: pooled standard deviation relative to the titre or result, or None.
        dof: its degrees of freedom.
        reading_ml, drop_ml: standard uncertainty of one reading and volume of a drop, for ``parts``.
        words: where the pooled value comes from.
    """

    source: From = From.DEFAULT
    sd_ml: float | None = None
    relative: float | None = None
    dof: float = math.inf
    reading_ml: float | None = None
    drop_ml: float | None = None
    words: str = ""


@dataclass(frozen=True)
class Choice:
    """How trials are chosen for the mean: rule and limit ("" = the method's); ``used``: those marked."""

    rule: str = ""
    limit_ml: float | None = None
    used: tuple[str, ...] = ()


@dataclass(frozen=True)
class EndPoint:
    """How far after the equivalence point the end point is seen: volume and standard uncertainty, mL."""

    late_ml: float
    u_ml: float
    source: str = ""


@dataclass(frozen=True)
class Determination:
    """Trials of one solution by one method, as written down.

    Attributes:
        method: name of the method.
        sample: what was titrated, in the person's words.
        analyst, date, bottle: who, when (ISO 8601), from which titrant bottle.
        burette: identity of the burette used unless a trial says otherwise.
        second_burette: identity of the second burette, "" when none.
        burettes: by identity.
        room: temperature.
        titrant_degc: temperature of the titrant when it is not the room's.
        given: quantity -> value. A quantity that another determination gives is in ``links``.
        links: quantity -> file of the determination that gives it.
        trials: in the order of the page.
        repeatability, choice, end_point: as asked for.
        coverage: ``"95 %"`` or ``"k = 2"``.
        weights: named set of atomic weights.
        interval_value: what stands for an interval, ``midpoint`` or ``conventional``.
        standardised: date on which the titrant was standardised, when given by value.
        notes: remarks, kept.
        file: name of its file.
        digest: SHA-256 of what it was read from.
    """

    method: str
    sample: str
    burette: str
    burettes: Mapping[str, Burette]
    room: Room
    given: Mapping[str, Given]
    links: Mapping[str, str]
    trials: tuple[Trial, ...]
    analyst: str = ""
    date: str = ""
    bottle: str = ""
    second_burette: str = ""
    titrant_degc: float | None = None
    repeatability: Repeatability = field(default_factory=Repeatability)
    choice: Choice = field(default_factory=Choice)
    end_point: EndPoint | None = None
    coverage: str = "95 %"
    weights: str = "CIAAW 2021"
    interval_value: str = "midpoint"
    standardised: str = ""
    notes: tuple[str, ...] = ()
    file: str = ""
    digest: str = ""
