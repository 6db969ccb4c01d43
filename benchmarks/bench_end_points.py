"""How many whole curves of 60 points are fitted a second, beside scipy's own least squares in the same run.

All fit concentration and acid constant of a weak acid from the same curves, begin at the same place, and use
analytic derivatives. ODRPACK makes the same sum least as Halfdrop, errors in volume and in pH. MINPACK knows
one coordinate: it is given the errors in pH turned into errors in volume once at the start, a simpler task.
All peers have the model written out for this one acid; ours is that of any mixture. Limit: 1500 fits a
second, or twice the peer with the same task.
"""

from __future__ import annotations

import sys
import time
import warnings
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares, leastsq
from scipy.special import expit

with warnings.catch_warnings():  # scipy 1.17 says that this door closes with 1.19
    warnings.simplefilter("ignore", DeprecationWarning)
    from scipy import odr

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.measured.curve import Curve
from halfdrop.core.equilibrium.measured.fit import fit
from halfdrop.core.equilibrium.measured.model import Kind, Part, System, Unknown

Array = NDArray[np.float64]
CURVES, TURNS, SEED = 60, 5, 7
PKW, LN10, LIMIT, TIMES = 13.997, float(np.log(10.0)), 1500.0, 2.0
VOLUMES = np.linspace(0.0, 37.5, 60)
START = (0.105, 4.6)
ALIKE = 0.02  # standard uncertainties by which ours may differ from the peer that makes the same sum least


def curves() -> list[Curve]:
    """Return measured curves."""
    rng = np.random.default_rng(SEED)
    acid, found = Acid("acetate", (4.757,), -1), []
    for _ in range(CURVES):
        true = np.maximum(VOLUMES + 0.01 * rng.standard_normal(60), 0.0)
        ph = titrate((acid,), Mixture({"acetate": 0.1}, {}), 25.0, Mixture({}, {1: 0.1}), true).ph
        found.append(Curve(VOLUMES, ph + 0.02 * rng.standard_normal(60), u_signal=0.02, u_volume_ml=0.01))
    return found


SYSTEM = System(
    (Acid("acetate", (4.757,), -1),),
    (Part("acetic acid", 0.1, 0, 1),),
    (Part("NaOH", 0.1, None, 0),),
    25.0,
    PKW,
    unknowns=(Unknown(Kind.FLASK, "c", START[0]), Unknown(Kind.PKA, "pKa", START[1])),
)


class Written:
    """The model written out for one weak acid, as one would for a single use, with its derivatives."""

    def __init__(self, curve: Curve) -> None:
        self.ph, self.volumes = curve.signal, curve.volumes_ml
        h = np.exp(-LN10 * self.ph)
        self.free, both = h - 10.0**-PKW / h, h + 10.0**-PKW / h
        share = expit(LN10 * (self.ph - START[1]))
        s_f, s_b = self.free - START[0] * share, self.free + 0.1
        steep = -25 / s_b * (both + START[0] * share * (1 - share)) + 25 * s_f / s_b**2 * both
        self.per = -25 / s_b
        self.u = np.hypot(0.01, LN10 * steep * 0.02)

    def residuals(self, theta: Array) -> Array:
        """Return what is left of each volume, in standard deviations."""
        share = expit(LN10 * (self.ph - theta[1]))
        found: Array = (self.per * (self.free - theta[0] * share) - self.volumes) / self.u
        return found

    def jacobian(self, theta: Array) -> Array:
        """Return its derivatives."""
        share = expit(LN10 * (self.ph - theta[1]))
        weigh = self.per / self.u
        return np.stack([-weigh * share, weigh * theta[0] * LN10 * share * (1 - share)], axis=1)


def by_leastsq(curve: Curve) -> Array:
    """Fit with MINPACK behind its oldest door, the one with the least around it; covariance included."""
    model = Written(curve)
    return np.asarray(leastsq(model.residuals, START, Dfun=model.jacobian, full_output=True)[0])


def by_least_squares(curve: Curve) -> Array:
    """Fit with the present door, method lm."""
    model = Written(curve)
    return np.asarray(least_squares(model.residuals, START, model.jacobian, method="lm").x)


def by_odr(curve: Curve) -> Array:
    """Fit with ODRPACK, which holds errors in both coordinates as ours does: the same sum is made least."""

    def share(theta: Array, ph: Array) -> Array:
        found: Array = expit(LN10 * (ph - theta[1]))
        return found

    def sides(theta: Array, ph: Array) -> tuple[Array, Array, Array]:
        h = np.exp(-LN10 * ph)
        oh = 10.0**-PKW / h
        return h - oh - theta[0] * share(theta, ph), h - oh + 0.1, h + oh

    def volume(theta: Array, ph: Array) -> Array:
        s_f, s_b, _ = sides(theta, ph)
        return -25 * s_f / s_b

    def by_theta(theta: Array, ph: Array) -> Array:
        part, (_, s_b, _) = share(theta, ph), sides(theta, ph)
        return np.stack([25 / s_b * part, -25 / s_b * theta[0] * LN10 * part * (1 - part)])

    def by_ph(theta: Array, ph: Array) -> Array:
        part, (s_f, s_b, both) = share(theta, ph), sides(theta, ph)
        found: Array = 25 * LN10 / s_b * (both + theta[0] * part * (1 - part) - s_f / s_b * both)
        return found

    model = odr.Model(volume, fjacb=by_theta, fjacd=by_ph)
    data = odr.RealData(curve.signal, curve.volumes_ml, sx=np.full(60, 0.02), sy=np.full(60, 0.01))
    return np.asarray(odr.ODR(data, model, beta0=START, job=20).run().beta)


def rate(work: Callable[[Curve], object], measured: list[Curve]) -> float:
    """Return fits per second of processor time, the best of several turns."""
    turns = []
    for _ in range(TURNS):
        begun = time.process_time()
        for curve in measured:
            work(curve)
        turns.append(time.process_time() - begun)
    return len(measured) / min(turns)


def main() -> int:
    """Measure; return 0 when the limit is met."""
    measured = curves()
    apart = max(
        float(np.abs((mine.theta - by_odr(curve)) / np.sqrt(np.diag(mine.covariance))).max())
        for curve in measured
        for mine in [fit(curve, SYSTEM)]
    )
    ours = rate(lambda curve: fit(curve, SYSTEM), measured)
    same = rate(by_odr, measured)
    simpler = {"leastsq": rate(by_leastsq, measured), "least_squares": rate(by_least_squares, measured)}
    best = max(simpler.values())
    said = "   ".join(f"{name} {value:.0f}/s" for name, value in simpler.items())
    print(
        f"  60 points, errors in both coordinates {ours:.0f}/s   ODRPACK {same:.0f}/s   {ours / same:.1f} x"
    )
    print(f"  errors in one coordinate only: {said}   ({ours / best:.2f} x)")
    print(f"  farthest from ODRPACK: {apart:.4f} standard uncertainties")
    return 0 if (ours >= LIMIT or ours >= TIMES * same) and apart <= ALIKE else 1


if __name__ == "__main__":
    sys.exit(main())
