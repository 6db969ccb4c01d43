"""Rounding for the report: the uncertainty to few digits, the value to the same place, the habit named.

Nothing here is fed back into a calculation; intermediate values are never rounded. Numbers are taken as the
decimal with 15 significant digits that stands for the float, so that a half is a half: 0.285 is decided by
the named rule for halves and not by the binary fraction behind it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from enum import StrEnum

from halfdrop.core.measure.statistics import DofHabit, used_dof

TRUE_MINUS = "−"
HYPHEN_MINUS = "-"

# Plain figures are used while the leading digit stands between these places; outside, a power of ten is set
# apart.
_SMALLEST_PLAIN = -4
# A unit of the last digit that is dropped when "up" still rounds down; JCGM 100 gives the example, not the
# figure.
_SLIGHT = Decimal("0.1")
# 15 significant digits are what a float holds for certain; one more carry may appear while rounding.
_EXACT = Context(prec=400)


class UncertaintyHabit(StrEnum):
    """How an uncertainty is rounded."""

    NEAREST = "to the nearest, two significant digits (JCGM 100:2008, 7.2.6)"
    UP = (
        "up, two significant digits, unless less than a tenth of the last digit is dropped "
        "(after JCGM 100:2008, 7.2.6)"
    )
    PDG = "two digits up to 354, one to 949, else 1000 (Review of Particle Physics 2018, Introduction 5.3)"


class Halves(StrEnum):
    """Where an exact half of the last digit goes."""

    EVEN = "halves to the even digit"
    UP = "halves away from zero"

    @property
    def mode(self) -> str:
        """Return the rounding mode of the decimal module."""
        return ROUND_HALF_EVEN if self is Halves.EVEN else ROUND_HALF_UP


@dataclass(frozen=True)
class RoundingRule:
    """A complete rule for rounding a result; its text belongs in the report.

    Attributes:
        uncertainty: how the uncertainty is rounded.
        halves: where exact halves go, for value and uncertainty.
        digits: significant digits of the uncertainty, 1 or more; the PDG rule has its own.
    """

    uncertainty: UncertaintyHabit = UncertaintyHabit.NEAREST
    halves: Halves = Halves.EVEN
    digits: int = 2

    def __post_init__(self) -> None:
        if self.digits < 1:
            raise ValueError("an uncertainty keeps at least one significant digit")

    def __str__(self) -> str:
        words = str(self.uncertainty)
        if self.digits != 2 and self.uncertainty is not UncertaintyHabit.PDG:
            words = words.replace("two significant digits", f"significant digits: {self.digits}")
        return f"uncertainty {words}; {self.halves}"


@dataclass(frozen=True)
class Reported:
    """A value with its uncertainty as they are printed.

    Attributes:
        value: figures of the value, without the power of ten; words where there is no number.
        uncertainty: figures of the uncertainty at the same place; words where there is no number to round by;
            empty when none was given.
        exponent: power of ten set apart, 0 when the figures are plain.
        place: exponent of the last digit kept, such as -5 for 0.10214; None when nothing was rounded.
        uncertainty_digits: significant digits of the uncertainty shown.
        rule: the rule in words.
    """

    value: str
    uncertainty: str
    exponent: int
    place: int | None
    uncertainty_digits: int
    rule: str

    def text(self, *, true_minus: bool = True) -> str:
        """Return one line such as ``0.10214 ± 0.00010`` or ``(1.235 ± 0.012) × 10^5``.

        Args:
            true_minus: whether a negative sign is the minus sign U+2212 (for reading) or a hyphen (for
                machines).
        """
        if self.uncertainty and self.place is None:
            both = f"{self.value}, uncertainty {self.uncertainty}"
        else:
            both = f"{self.value} ± {self.uncertainty}" if self.uncertainty else self.value
        if self.exponent:
            both = f"({both})" if self.uncertainty else both
            both = f"{both} × 10^{self.exponent}"
        return both.replace(HYPHEN_MINUS, TRUE_MINUS) if true_minus else both


def as_decimal(value: float) -> Decimal:
    """Return the decimal of 15 significant digits that stands for a finite float."""
    return Decimal(f"{value:.15g}")


def round_uncertainty(u: float, rule: RoundingRule | None = None) -> Decimal:
    """Return a finite, positive uncertainty rounded by the rule; 0 stays 0.

    >>> up = RoundingRule(UncertaintyHabit.UP)
    >>> [str(round_uncertainty(u, up)) for u in (10.47, 28.05)]
    ['11', '28']
    """
    rule = rule or RoundingRule()
    if not (math.isfinite(u) and u >= 0):
        raise ValueError(f"an uncertainty is finite and not negative, not {u!r}")
    exact = as_decimal(u)
    if not exact:
        return exact
    digits = _pdg_digits(exact) if rule.uncertainty is UncertaintyHabit.PDG else rule.digits
    place = exact.adjusted() - digits + 1
    rounded = _to_place(exact, place, _mode_for(exact, place, rule))
    # 0.0996 with two digits becomes 0.100: one digit too many, so the place moves up with it.
    if rounded.adjusted() > exact.adjusted() and not _keeps_carry(exact, rule):
        rounded = _to_place(rounded, place + 1, rule.halves.mode)
    return rounded


def _pdg_digits(exact: Decimal) -> int:
    """Return the digits kept by the PDG rule, from the three leading digits (950 to 999 become 1000: two)."""
    leading = int(exact.scaleb(2 - exact.adjusted(), _EXACT))
    return 2 if leading <= 354 else 1


def _keeps_carry(exact: Decimal, rule: RoundingRule) -> bool:
    """Tell whether a carry such as 0.95 to 1.0 leaves the place alone: only the PDG rule asks for that."""
    return rule.uncertainty is UncertaintyHabit.PDG and _pdg_digits(exact) == 1


def _mode_for(exact: Decimal, place: int, rule: RoundingRule) -> str:
    if rule.uncertainty is not UncertaintyHabit.UP:
        return rule.halves.mode
    in_units = exact.scaleb(-place, _EXACT)
    slight = in_units - int(in_units) < _SLIGHT
    return rule.halves.mode if slight else ROUND_CEILING


def _to_place(value: Decimal, place: int, mode: str) -> Decimal:
    return value.quantize(Decimal(1).scaleb(place), rounding=mode, context=_EXACT)


def report(value: float, u: float, rule: RoundingRule | None = None) -> Reported:
    """Round a value and its standard or expanded uncertainty to one place.

    A value without a number ("not known") is said in words; an uncertainty of 0 rounds nothing, and an
    unknown (nan) or infinite one is said in words beside the value's own figures.

    Args:
        value: the estimate.
        u: its uncertainty, same unit; not negative.
        rule: how to round; the default is to the nearest with two digits, halves to even.

    >>> report(10.05762, 0.027).text()
    '10.058 ± 0.027'
    >>> report(123456.0, 1200.0).text()
    '(1.235 ± 0.012) × 10^5'
    """
    rule = rule or RoundingRule()
    if u < 0:
        raise ValueError(f"an uncertainty is not negative, not {u!r}")
    if not math.isfinite(value):
        return Reported(_unrounded(value), "", 0, None, 0, str(rule))
    if not math.isfinite(u) or u == 0:
        return Reported(_unrounded(value), _words_for_u(u), 0, None, 0, str(rule))
    rounded_u = round_uncertainty(u, rule)
    place = _place_of(rounded_u)
    rounded = _to_place(as_decimal(value), place, rule.halves.mode)
    exponent = _exponent_for(rounded, rounded_u, place)
    digits = len(rounded_u.as_tuple().digits)
    return Reported(
        _plain(rounded, exponent), _plain(rounded_u, exponent), exponent, place, digits, str(rule)
    )


def report_alone(
    value: float, *, decimals: int | None = None, significant: int | None = None, halves: Halves = Halves.EVEN
) -> Reported:
    """Round a value that has no uncertainty, to so many decimals or so many significant digits.

    Args:
        value: the number.
        decimals: digits after the decimal point; negative rounds to tens and more.
        significant: significant digits, 1 or more. Exactly one of the two is given.
        halves: where an exact half goes.

    >>> report_alone(0.285, decimals=2).text(), report_alone(0.285, decimals=2, halves=Halves.UP).text()
    ('0.28', '0.29')
    """
    if (decimals is None) == (significant is None):
        raise ValueError("say either how many decimals or how many significant digits")
    if significant is not None and significant < 1:
        raise ValueError("a value keeps at least one significant digit")
    if not math.isfinite(value):
        return Reported(_unrounded(value), "", 0, None, 0, str(halves))
    exact = as_decimal(value)
    place = _place_for_significant(exact, significant, halves) if significant else -(decimals or 0)
    rounded = _to_place(exact, place, halves.mode)
    exponent = _exponent_for(rounded, Decimal(0), place)
    return Reported(_plain(rounded, exponent), "", exponent, place, 0, str(halves))


def _place_for_significant(exact: Decimal, significant: int, halves: Halves) -> int:
    """Return the last place kept, one higher where rounding carries into a new digit (9.996 to 10.0)."""
    if not exact:
        return 1 - significant
    place = exact.adjusted() - significant + 1
    carried = _to_place(exact, place, halves.mode).adjusted() > exact.adjusted()
    return place + 1 if carried else place


def _place_of(rounded: Decimal) -> int:
    exponent = rounded.as_tuple().exponent
    if not isinstance(exponent, int):  # pragma: no cover - only finite decimals come here
        raise TypeError("not a finite number")
    return exponent


def _exponent_for(value: Decimal, u: Decimal, place: int) -> int:
    """Return the power of ten to set apart: none while the figures can be written plainly and truthfully.

    Zeros before the decimal point that were not measured (place above 0) cannot be told from measured ones.
    """
    leading = max((d.adjusted() for d in (value, u) if d), default=0)
    return leading if place > 0 or leading < _SMALLEST_PLAIN else 0


def _plain(rounded: Decimal, exponent: int) -> str:
    shifted = rounded.scaleb(-exponent, _EXACT)
    return f"{shifted if shifted else abs(shifted):f}"


def _unrounded(value: float) -> str:
    if math.isnan(value):
        return "not known"
    if math.isinf(value):
        return "without limit" if value > 0 else "without lower limit"
    exact = as_decimal(value)
    plain = not exact or -6 <= exact.adjusted() <= 15
    return f"{exact if exact else abs(exact):f}" if plain else f"{value:.15g}"


def _words_for_u(u: float) -> str:
    if math.isnan(u):
        return "not known"
    return "without limit" if math.isinf(u) else "0"


def report_dof(dof: float, habit: DofHabit = DofHabit.TRUNCATED) -> str:
    """Return degrees of freedom as printed: whole under truncation, one decimal when interpolated.

    >>> report_dof(16.76), report_dof(16.76, DofHabit.INTERPOLATED), report_dof(float("inf"))
    ('16', '16.8', 'infinite')
    """
    if math.isnan(dof):
        return "not known"
    if math.isinf(dof):
        return "infinite"
    used = used_dof(dof, habit)
    return f"{used:.0f}" if habit is DofHabit.TRUNCATED or used == math.floor(used) else f"{used:.1f}"
