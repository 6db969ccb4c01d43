"""The end gauge of JCGM 100 H.1 by Monte Carlo: t-distributions, and limits that are not exactly known."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.monte_carlo import Sampled, draws, interval
from tests.published.row import Row, Source
from tests.published.source_gum_h1 import INPUTS, WORKING

DRAWS = 1_000_000
DRAWN = "halfdrop.core.measure.monte_carlo.draws"
NOTE = "printed value from memory; a million draws, seed fixed"


@cache
def sampled() -> Sampled:
    """Draw, seed fixed."""
    drawn = draws(Evaluator(WORKING), INPUTS, {}, DRAWS, np.random.default_rng(101))
    return Sampled(
        float(drawn.mean()), float(drawn.std(ddof=1)), *interval(drawn, 0.99), 0.99, DRAWS, settled=True
    )


SOURCE = Source(
    title="JCGM 101:2008, Propagation of distributions using a Monte Carlo method: 9.5",
    where="clause 9.5, gauge block calibration (printed values from memory, each recomputed)",
    rows=(
        Row("9.5", "length of the end gauge, nm", "50000838", lambda: sampled().value, DRAWN, note=NOTE),
        Row("9.5", "standard uncertainty, nm", "36", lambda: sampled().u or math.nan, DRAWN, note=NOTE),
    ),
)
