"""Titration curves agree with PHREEQC's to 1e-6 pH under its own Davies equation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from halfdrop.core.equilibrium.acid_base import Equilibrium, Water
from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.activity import DAVIES_PHREEQC, IDEAL, LN10
from halfdrop.core.equilibrium.mixing import Points
from halfdrop.core.equilibrium.roots import Array
from tests.core.equilibrium.phreeqc import Phreeqc

PKW, STEPS = 13.997, 120
ACETATE = Acid("acetate", (4.757,), -1)
AMMONIA = Acid("ammonia", (9.244,), 0)
PHTHALATE = Acid("phthalate", (2.950, 5.408), -2)
PHOSPHATE = Acid("phosphate", (2.148, 7.198, 12.375), -3)
CITRATE = Acid("citrate", (3.128, 4.761, 6.396), -3)


def ours(
    acids: tuple[Acid, ...], totals: dict[str, float], chloride: float, base: Array, *, ideal: bool
) -> Equilibrium:
    """Return the same curve for a kilogram of water, water formed counted."""
    # PHREEQC lowers the activity of water also where ions are ideal.
    model = replace(IDEAL, a=1e-15, water=DAVIES_PHREEQC.water) if ideal else DAVIES_PHREEQC
    shape = np.ones_like(base)
    amounts = np.array([[totals[a.name]] for a in acids]).reshape(len(acids), 1) * shape
    points = Points(amounts, base - chloride, base + chloride, base + chloride, hydroxide=base)
    return Water(acids, PKW, model).settle(points, np.full(base.shape, -7 * LN10))


@pytest.mark.parametrize("ideal", [False, True], ids=["Davies", "ideal"])
@pytest.mark.parametrize(
    ("acids", "totals", "chloride", "added"),
    [
        ((), {}, 0.1, 0.2),
        ((ACETATE,), {"acetate": 0.1}, 0.0, 0.2),
        ((PHTHALATE,), {"phthalate": 0.05}, 0.0, 0.15),
        ((PHOSPHATE,), {"phosphate": 0.05}, 0.0, 0.2),
        ((AMMONIA,), {"ammonia": 0.1}, 0.1, 0.2),
        ((ACETATE, PHOSPHATE), {"acetate": 0.03, "phosphate": 0.05}, 0.02, 0.3),
        ((CITRATE, AMMONIA, PHTHALATE), {"citrate": 0.02, "ammonia": 0.03, "phthalate": 0.01}, 0.03, 0.2),
    ],
)  # fmt: skip
def test_a_curve_agrees_with_phreeqc(
    acids: tuple[Acid, ...], totals: dict[str, float], chloride: float, added: float, ideal: bool
) -> None:
    engine = Phreeqc(acids, PKW, ideal=ideal)
    ph, strength = engine.run(engine.input(totals, chloride, 0.0, added, STEPS))
    base = np.concatenate([[0.0], np.linspace(added / STEPS, added, STEPS)])

    found = ours(acids, totals, chloride, base, ideal=ideal)

    assert np.abs(found.ph - ph).max() < 1e-6
    assert np.abs(found.ionic_strength / strength - 1).max() < 1e-5


def test_the_agreement_would_notice_another_constant() -> None:
    engine = Phreeqc((ACETATE,), PKW)
    ph, _ = engine.run(engine.input({"acetate": 0.1}, 0.0, 0.0, 0.2, STEPS))
    base = np.concatenate([[0.0], np.linspace(0.2 / STEPS, 0.2, STEPS)])
    other = replace(ACETATE, pkas=(4.7570231,))

    assert np.abs(ours((other,), {"acetate": 0.1}, 0.0, base, ideal=False).ph - ph).max() > 1e-6
