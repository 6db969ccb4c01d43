"""Example A1 of the Eurachem guide: a calibration standard made from cadmium metal."""

from __future__ import annotations

from functools import lru_cache

from halfdrop.core.measure.estimate import Estimate, Factor, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.solutions.workings import Way, making_up
from tests.published.row import Row, Source

FUNCTION = "halfdrop.core.solutions.workings.making_up"


@lru_cache(maxsize=1)
def _standard() -> Evaluation:
    """Return the example: 100.28 mg, 0.9999 pure, 100 mL (0.1 mL triangular), 0.02 mL filling, 4 degC."""
    given = {
        "mass": Estimate(0.10028, 0.00005),
        "purity": Estimate(0.9999, standard_from_limits(0.0001), Shape.RECTANGULAR),
        "flask": Estimate(
            100.0, standard_from_limits(0.1, Shape.TRIANGULAR), Shape.TRIANGULAR,
            factors=(Factor("filling", 0.02),),
        ),
        "warmth": Estimate(0.0, standard_from_limits(4.0), Shape.RECTANGULAR),
        "expansion": Estimate(2.1e-4),
    }  # fmt: skip
    return Evaluator(making_up(Way.SOLID, as_mass=True)).evaluate(given, {})


SOURCE = Source(
    title="EURACHEM/CITAC Guide CG 4, 3rd edition, 2012, example A1",
    where="http://www.measurementuncertainty.org/guide/app_a_example1.html",
    rows=(
        Row("Table A1.2", "cadmium, mg/L", "1002.7", lambda: 1000 * float(_standard().value), FUNCTION),
        Row(
            "Table A1.2", "standard uncertainty, mg/L", "0.9", lambda: 1000 * float(_standard().u), FUNCTION,
            0.66, note="0.835 mg/L unrounded; the guide rounds the relative parts on its way.",
        ),
    ),
)  # fmt: skip
