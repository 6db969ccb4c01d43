"""A determination worked out, against independent arithmetic and GTC."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import GTC
import numpy as np
import pytest

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.findings import Refused
from halfdrop.core.glassware.readings import Reading
from halfdrop.core.titration.record import Choice, From, Given, Refill, Repeatability, State, Trial
from halfdrop.core.titration.work import Worked, work_out
from tests.core.titration import pages

TITRANT = Given("titrant", 0.1, "mol/L", 0.0001)


def chain(name: str = "B1") -> Worked:
    """Return the acid worked out on hydroxide standardised with burette B1."""
    blocks = pages.blocks()
    base = work_out(pages.hydroxide(), blocks, pages.hydroxide_page())
    return work_out(pages.acid(), blocks, pages.acid_page(name), {"titrant": base})


def stretches(cuts: list[float]) -> list[tuple[float, float]]:
    return list(pairwise(sorted(set(cuts))))


class OnPaper:
    """The same chain written out with GTC, burette scales as stretches of a common scale."""

    def __init__(self, second: str) -> None:
        base, sample = pages.hydroxide_page(), pages.acid_page()
        used = [
            (t.readings["initial"].value_ml, t.readings["final"].value_ml)
            for t in (*base.trials, *sample.trials)
        ]
        self.cuts = sorted({end for pair in used for end in pair})
        self.scales = {n: {s: GTC.ureal(0, 1) for s in stretches(self.cuts)} for n in {"B1", second}}
        self.warm = GTC.ureal(0, 0.5)
        from halfdrop.core.glassware.thermal import LIQUIDS, alpha_per_c

        alpha = float(alpha_per_c(20.0))
        self.alpha = GTC.ureal(alpha, alpha * LIQUIDS["water"].relative_u)

    def titre(self, burette: str, initial: float, final: float) -> Any:
        """Return a titre with the error of every stretch of scale that it ran over."""
        length = final - initial
        error = sum(
            0.05 / 3**0.5 * ((b - a) / length) ** 0.5 * z
            for (a, b), z in self.scales[burette].items()
            if a >= initial - 1e-9 and b <= final + 1e-9
        )
        return (length + error) * (1 - self.alpha * self.warm)

    def volume(self, value: float, u: float) -> Any:
        """Return a delivered volume at the temperature of the room."""
        return GTC.ureal(value, u) * (1 - self.alpha * self.warm)


def on_paper(worked: Worked, second: str = "B1") -> Any:
    """Return the result of the chain as a GTC number; the scatter is taken from what was chosen."""
    paper, weights = OnPaper(second), atomic_weights("CIAAW 2021")
    mass = sum(k * GTC.ureal(weights[e].value, weights[e].standard_uncertainty)
               for e, k in {"K": 1, "H": 5, "C": 8, "O": 4}.items())  # fmt: skip
    purity, strengths = GTC.ureal(0.9995, 0.0003), []
    for t in pages.hydroxide_page().trials[1:]:
        n = GTC.ureal(t.given["mass"].value, 0.0001) * purity / mass
        volume = paper.titre("B1", t.readings["initial"].value_ml, t.readings["final"].value_ml) / 1000
        strengths.append(n / volume)
    scatter = worked.estimates["titrant.scatter_c_NaOH"]
    strength = sum(strengths) / 3 + GTC.ureal(0, float(scatter.u), scatter.dof)
    titres = [
        paper.titre(second, t.readings["initial"].value_ml, t.readings["final"].value_ml)
        for t in pages.acid_page().trials[1:]
    ]
    repeat = worked.estimates["scatter_titre"]
    mean = sum(titres) / 3 + GTC.ureal(0, float(repeat.u), repeat.dof)
    return strength * (mean / 1000) / (paper.volume(20.0, 0.02) / 1000)


@pytest.mark.parametrize("second", ["B1", "B2"])
def test_a_chain_agrees_with_gtc_whether_or_not_the_burette_is_shared(second: str) -> None:
    worked = chain(second)

    wanted = on_paper(worked, second)

    assert worked.value == pytest.approx(wanted.x, rel=1e-13)
    assert worked.u == pytest.approx(wanted.u, rel=1e-10)
    assert float(worked.evaluation.dof()) == pytest.approx(wanted.df, rel=1e-6)


def test_one_burette_for_both_titrations_gives_a_smaller_uncertainty() -> None:
    assert chain("B1").u < chain("B2").u


def test_a_result_that_was_saved_can_be_rested_on_like_the_determination_itself() -> None:
    from halfdrop.core.measure.estimate import Estimate, Factor

    blocks = pages.blocks()
    base = work_out(pages.hydroxide(), blocks, pages.hydroxide_page())
    parts = tuple(
        Factor(c.key if ":" in c.key else f"titrant.{c.key}", float(c.component), dof=c.dof)
        for c in base.evaluation.contributions
    )
    saved = {"titrant": Estimate(base.value, factors=parts)}

    rested = work_out(pages.acid(), blocks, pages.acid_page(), saved=saved)

    assert rested.value == pytest.approx(chain().value, rel=1e-13)
    assert rested.u == pytest.approx(chain().u, rel=1e-10)


def test_a_rough_trial_is_kept_and_not_averaged() -> None:
    worked = work_out(pages.acid(), pages.blocks(), pages.acid_page(titrant=TITRANT))

    one = worked.compared["sample"]

    assert len(one.trials) == 4
    assert one.selection.weights[0] == 0
    assert worked.value == pytest.approx(0.1 * np.mean([20.47, 20.50, 20.47]) / 20, rel=1e-12)


def test_a_trial_with_a_refill_delivers_the_sum() -> None:
    page = pages.acid_page(titrant=TITRANT)
    refilled = Trial(
        "2", "sample", {"initial": Reading("40.00"), "final": Reading("10.55")},
        refills=(Refill(Reading("49.95"), Reading("0.03")),),
    )  # fmt: skip

    worked = work_out(pages.acid(), pages.blocks(), replace(page, trials=(refilled, *page.trials[2:])))

    assert worked.compared["sample"].values[0] == pytest.approx(49.95 - 40 + 10.55 - 0.03)


def test_titres_are_averaged_unless_a_trial_has_its_own_mass() -> None:
    titres = work_out(pages.acid(), pages.blocks(), pages.acid_page(titrant=TITRANT))
    results = work_out(pages.hydroxide(), pages.blocks(), pages.hydroxide_page())

    assert (titres.compared["sample"].unit, results.compared["sample"].unit) == ("mL", "mol/L")
    assert results.compared["sample"].limit == pytest.approx(0.10 * results.value / 24.88, rel=0.01)


def test_fewer_than_four_trials_take_the_typical_scatter_and_say_so() -> None:
    worked = work_out(pages.acid(), pages.blocks(), pages.acid_page(titrant=TITRANT))

    scatter = worked.compared["sample"].scatter["titre_20"]

    assert scatter.source is From.METHOD
    assert "typical 0.04 mL" in scatter.words


def test_the_scatter_of_the_trials_can_be_asked_for() -> None:
    page = replace(pages.acid_page(titrant=TITRANT), repeatability=Repeatability(From.TRIALS))

    scatter = work_out(pages.acid(), pages.blocks(), page).compared["sample"].scatter["titre_20"]

    assert scatter.sd == pytest.approx(np.std([20.47, 20.50, 20.47], ddof=1))
    assert scatter.dof == 2


def test_identical_titres_are_not_taken_for_exact_ones() -> None:
    page = pages.acid_page(titrant=TITRANT)
    same = tuple(pages.trial(str(k), "0.01", "20.52") for k in (1, 2, 3))

    worked = work_out(
        pages.acid(), pages.blocks(), replace(page, trials=same, repeatability=Repeatability(From.TRIALS))
    )

    assert worked.compared["sample"].scatter["titre_20"].sd == pytest.approx(0.01 / 6**0.5)
    assert any(f.code == "repeatability-floor" for f in worked.findings)


def test_the_closest_pair_has_the_factor_of_a_chosen_pair() -> None:
    page = replace(pages.acid_page(titrant=TITRANT), choice=Choice("closest-pair"))

    selection = work_out(pages.acid(), pages.blocks(), page).compared["sample"].selection

    assert len(selection.used) == 2
    assert selection.factor.value > 1 / 2**0.5


def test_correcting_every_volume_leaves_a_ratio_of_volumes_alone() -> None:
    page = pages.acid_page(titrant=TITRANT)
    warm = replace(page, room=replace(page.room, temperature_degc=27.0))

    plain = work_out(pages.acid(), pages.blocks(), warm)
    corrected = work_out(pages.acid(), pages.blocks(), replace(warm, room=replace(warm.room, correct=True)))

    assert corrected.value == pytest.approx(plain.value, rel=1e-12)


def test_correcting_the_volume_of_a_weighed_standardisation_changes_it() -> None:
    page = pages.hydroxide_page()
    warm = replace(page, room=replace(page.room, temperature_degc=27.0, correct=True))

    changed = work_out(pages.hydroxide(), pages.blocks(), warm).value
    plain = work_out(pages.hydroxide(), pages.blocks(), page).value

    assert changed / plain - 1 == pytest.approx(0.0016, abs=0.0002)  # water at 27 degC, Tanaka 2001


def test_trials_that_scatter_too_much_for_the_typical_value_are_noticed() -> None:
    page = pages.acid_page(titrant=TITRANT)
    wild = (
        pages.trial("1", "0.00", "20.00"),
        pages.trial("2", "0.00", "20.60"),
        pages.trial("3", "0.00", "21.10"),
    )

    worked = work_out(pages.acid(), pages.blocks(), replace(page, trials=wild))

    assert any(f.code == "scatter-larger-than-known" for f in worked.findings)


def test_a_left_out_trial_stays_with_its_reason() -> None:
    page = pages.acid_page(titrant=TITRANT)
    out = replace(page.trials[1], state=State.LEFT_OUT)

    one = work_out(
        pages.acid(), pages.blocks(), replace(page, trials=(page.trials[0], out, *page.trials[2:]))
    ).compared["sample"]

    assert one.selection.reasons[1].startswith("left out")
    assert one.selection.accurate == (2, 3)


def test_readings_that_all_end_in_0_or_5_were_read_to_that_step() -> None:
    page = pages.acid_page(titrant=TITRANT)
    coarse = tuple(pages.trial(str(k), "0.00", "20.50") for k in (1, 2, 3))

    worked = work_out(
        pages.acid(), pages.blocks(), replace(page, trials=coarse, repeatability=Repeatability(From.TRIALS))
    )

    assert worked.compared["sample"].scatter["titre_20"].sd == pytest.approx(0.05 / 6**0.5)


def test_a_page_with_only_a_rough_trial_is_refused_in_words() -> None:
    page = pages.acid_page(titrant=TITRANT)

    with pytest.raises(Refused, match="no accurate trial"):
        work_out(pages.acid(), pages.blocks(), replace(page, trials=page.trials[:1]))
