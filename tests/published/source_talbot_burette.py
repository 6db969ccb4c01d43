"""One interval of a burette calibrated by weighing, in an old book."""

from __future__ import annotations

import numpy as np

from halfdrop.core.glassware.weighed_volume import volume_estimates, volume_evaluator
from halfdrop.core.measure.estimate import Estimate
from tests.core.glassware.weighed import room
from tests.published.row import Row, Source


def correction() -> float:
    """Return the correction as the book has it: a gram on the balance is a cubic centimetre."""
    gross, read = np.array([10.03]), np.array([10.05])
    assumed = {
        "lost": Estimate(0.0), "rho_w": Estimate(1.0), "rho_a": Estimate(0.0), "gamma": Estimate(0.0),
    }  # fmt: skip
    estimates = {**volume_estimates(gross, np.zeros(1), read, room()), **assumed}
    return float(np.ravel(volume_evaluator().evaluate(estimates, {}).value)[0])


SOURCE = Source(
    title="Talbot, An Introductory Course of Quantitative Chemical Analysis, calibration of burettes",
    where="Project Gutenberg 12787; book-bot.com pages 32 and 33",
    rows=(
        Row(
            place="calibration of burettes, example",
            what="10.05 cc read, 10.03 g delivered: correction, cc",
            printed="-0.02",
            compute=correction,
            function="halfdrop.core.glassware.weighed_volume.volume_working",
            note="The book takes a gram in air for a cubic centimetre; weighed in air at 20 degC, 10.03 g "
            "are 10.06 mL, and the correction is +0.01.",
        ),
    ),
)
