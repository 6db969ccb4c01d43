"""Which trials are averaged, why, and with what factor."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from benchmarks import coverage
from benchmarks.make_selection_factors import LIMITS, tables
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.titration import selection_factors as table
from halfdrop.core.titration.selection import (
    RULES,
    Selection,
    configuration_factor,
    own_scatter_counts,
    own_scatter_finding,
    select,
    tabulated_factor,
)
from halfdrop.core.titration.selection_rules import Kind, closest, first_to_agree, largest_group

STEPS = st.lists(st.integers(0, 12), min_size=1, max_size=7)  # titres in steps of 0.05 mL above 20 mL
EVERY_RULE = pytest.mark.parametrize("name", list(RULES))


def in_ml(steps: list[int]) -> list[float]:
    return [round(20 + 0.05 * s, 2) for s in steps]


def codes(selection: Selection) -> list[str]:
    return [f.code for f in selection.findings]


# ------------------------------------------------------------------------------------------- the choice


def in_order(count: int, members: int) -> list[tuple[int, ...]]:
    return sorted(combinations(range(count), members), key=lambda g: g[::-1])


def spread(steps: list[int], group: tuple[int, ...]) -> int:
    return max(steps[i] for i in group) - min(steps[i] for i in group)


@settings(deadline=None)
@given(STEPS, st.integers(2, 4))
def test_the_closest_are_the_narrowest_group_and_of_equals_the_one_complete_first(
    steps: list[int], members: int
) -> None:
    groups = in_order(len(steps), members)
    wanted = min(groups, key=lambda g: spread(steps, g), default=())

    assert closest(in_ml(steps), members).chosen == wanted


@settings(deadline=None)
@given(STEPS, st.integers(0, 5))
def test_the_largest_group_is_found_by_trying_all(steps: list[int], limit: int) -> None:
    wanted: tuple[int, ...] = ()
    for members in range(len(steps), 1, -1):
        groups = [g for g in in_order(len(steps), members) if spread(steps, g) <= limit]
        if groups:
            wanted = min(groups, key=lambda g: spread(steps, g))
            break

    assert largest_group(in_ml(steps), 0.05 * limit).chosen == wanted


@settings(deadline=None)
@given(STEPS, st.integers(2, 3), st.integers(0, 5))
def test_the_first_to_agree_are_found_by_following_the_trials(
    steps: list[int], members: int, limit: int
) -> None:
    wanted: tuple[int, ...] = ()
    for made in range(members, len(steps) + 1):
        groups = [g for g in in_order(made, members) if spread(steps, g) <= limit]
        if groups:
            wanted = min(groups, key=lambda g: spread(steps, g))
            break

    found = first_to_agree(in_ml(steps), members, 0.05 * limit)
    assert found.chosen == wanted
    assert found.looked_at == (max(wanted) + 1 if wanted else len(steps))


def test_a_difference_equal_to_the_limit_agrees_whatever_its_binary_fraction() -> None:
    assert 23.50 - 23.40 > 0.10
    assert select([23.40, 23.50], RULES["closest-pair"], limit=0.10, sd=0.05).concordant is True


def test_ten_thousand_trials_are_no_trouble() -> None:
    many = [20 + 0.01 * (i % 17) for i in range(10_000)]

    for rule in RULES.values():
        assert select(many, rule, limit=0.10, sd=0.05, marked=range(3)).used


# -------------------------------------------------------------------------------------------- every rule


@EVERY_RULE
@settings(deadline=None)
@given(steps=STEPS, aside=st.sets(st.integers(0, 6)), limit=st.sampled_from([0.0, 0.05, 0.10, 0.20]))
def test_a_selection_is_whole(name: str, steps: list[int], aside: set[int], limit: float) -> None:
    values = in_ml(steps)
    set_aside = {p: "rough" for p in aside if p < len(values)}
    chosen = select(values, RULES[name], limit=limit, sd=0.05, set_aside=set_aside, marked=[0])

    assert len(chosen.weights) == len(chosen.reasons) == len(values)
    assert not set(chosen.used) & set(set_aside)
    assert [p for p, w in enumerate(chosen.weights) if w > 0] == list(chosen.used)
    assert all(chosen.reasons)
    if not chosen.used:
        assert codes(chosen) == ["no-accurate-trial"]
        assert math.isnan(chosen.factor.value)
    else:
        assert sum(chosen.weights) == pytest.approx(1)
        assert chosen.factor.value >= 1 / math.sqrt(len(chosen.accurate)) * (1 - 1e-9)


@EVERY_RULE
@settings(deadline=None)
@given(steps=st.lists(st.integers(0, 8), min_size=2, max_size=6))
def test_the_unit_does_not_matter(name: str, steps: list[int]) -> None:
    plain = select(in_ml(steps), RULES[name], limit=0.10, sd=0.05, marked=[0, 1])
    litres = [v / 1000 for v in in_ml(steps)]
    scaled = select(litres, RULES[name], limit=0.10 / 1000, sd=0.05 / 1000, marked=[0, 1])

    assert (plain.used, plain.concordant) == (scaled.used, scaled.concordant)
    assert plain.factor.value == pytest.approx(scaled.factor.value)


@EVERY_RULE
def test_identical_trials_are_all_averaged_or_stop_the_rule(name: str) -> None:
    chosen = select([20.1, 20.1], RULES[name], limit=0.10, marked=[0, 1])

    if RULES[name].members <= 2:
        assert (chosen.used, chosen.concordant) == ((0, 1), True)
    assert chosen.factor.value == pytest.approx(1 / math.sqrt(2))


# --------------------------------------------------------------------------------------- reasons, findings


def test_every_trial_has_its_reason() -> None:
    chosen = select(
        [22.0, 21.45, 21.60, 21.50], RULES["closest-pair"], limit=0.10, sd=0.05, set_aside={0: "rough"}
    )

    assert chosen.reasons == (
        "rough",
        "averaged",
        "not averaged: trials 2 and 4 lie closer together",
        "averaged",
    )
    assert chosen.weights == (0.0, 0.5, 0.0, 0.5)


def test_a_rule_that_stops_says_what_came_before_and_after() -> None:
    chosen = select([21.30, 21.60, 21.65, 21.62], RULES["first-two"], limit=0.10, sd=0.05)

    assert chosen.used == (1, 2)
    assert chosen.made == 3
    assert chosen.reasons[0] == "not averaged: trials 2 and 3 were the first to agree within 0.1"
    assert chosen.reasons[3] == "not averaged: made after trials 2 and 3 had agreed"
    assert "made-after-agreement" in codes(chosen)


def test_the_largest_group_says_who_is_outside() -> None:
    chosen = select([21.45, 21.80, 21.50, 21.52], RULES["largest-group"], limit=0.10, sd=0.10)

    assert chosen.used == (0, 2, 3)
    assert chosen.reasons[1] == "not averaged: outside the largest group within 0.1, trials 1, 3 and 4"


@pytest.mark.parametrize(
    "name", ["closest-pair", "closest-three", "largest-group", "first-two", "first-three"]
)
def test_when_nothing_agrees_all_accurate_trials_are_averaged_and_it_is_said(name: str) -> None:
    chosen = select([20.0, 20.3, 20.6], RULES[name], limit=0.10, sd=0.05)

    assert chosen.concordant is False
    assert chosen.used == (0, 1, 2)
    assert chosen.factor.value == pytest.approx(1 / math.sqrt(3))
    assert codes(chosen) == ["not-concordant"]
    assert "nothing was left out" in chosen.findings[0].message
    assert chosen.findings[0].severity is Severity.ATTENTION


def test_all_accurate_trials_are_averaged_whether_or_not_they_agree() -> None:
    assert select([20.0, 20.3], RULES["all-accurate"], limit=0.10, sd=0.05).concordant is False
    assert select([20.0, 20.1], RULES["all-accurate"], limit=0.10, sd=0.05).concordant is True
    assert select([20.0, 20.3], RULES["all-accurate"], sd=0.05).concordant is None


def test_marked_trials_are_averaged_as_marked_even_when_they_disagree() -> None:
    chosen = select([20.0, 20.3, 20.1], RULES["as-marked"], limit=0.10, sd=0.05, marked=[0, 1])

    assert chosen.used == (0, 1)
    assert chosen.reasons[2] == "not averaged: not marked"
    assert "averaged as marked" in chosen.findings[0].message


def test_nothing_marked_means_all_accurate_trials() -> None:
    chosen = select([20.0, 20.1, 20.1], RULES["as-marked"], limit=0.20, sd=0.05)

    assert chosen.used == (0, 1, 2)
    assert "No accurate trial is marked" in chosen.findings[0].message


def test_a_trial_both_marked_and_rough_is_left_out_and_asked_about() -> None:
    chosen = select(
        [20.4, 20.0, 20.1], RULES["as-marked"], limit=0.20, sd=0.05, marked=[0, 1, 2], set_aside={0: "rough"}
    )

    assert chosen.used == (1, 2)
    assert codes(chosen) == ["marked-and-set-aside"]
    assert "Trial 1 is marked" in chosen.findings[0].message


def test_a_single_accurate_trial_stands_alone() -> None:
    chosen = select([20.5, 20.0], RULES["closest-pair"], limit=0.10, sd=0.05, set_aside={0: "rough"})

    assert (chosen.used, chosen.factor.value) == ((1,), 1.0)
    assert codes(chosen) == ["one-accurate-trial"]
    assert own_scatter_finding(chosen) is not None


def test_without_an_accurate_trial_there_is_a_refusal_to_show() -> None:
    chosen = select([20.5, math.nan], RULES["all-accurate"], set_aside={0: "rough", 1: "abandoned"})

    assert chosen.findings[0].severity is Severity.REFUSED
    assert chosen.reasons == ("rough", "abandoned")


@pytest.mark.parametrize(
    ("values", "rule", "settings", "said"),
    [
        ([1.0, 2.0], "first-two", {}, "needs a concordance limit"),
        ([1.0, 2.0], "largest-group", {}, "needs a concordance limit"),
        ([1.0, math.nan], "all-accurate", {}, "set it aside"),
        ([1.0, 2.0], "all-accurate", {"limit": -0.1}, "limit is not negative"),
        ([1.0, 2.0], "all-accurate", {"sd": math.nan}, "deviation is not negative"),
        ([1.0, 2.0], "all-accurate", {"set_aside": {2: "rough"}}, "does not exist"),
        ([1.0, 2.0], "as-marked", {"marked": [7]}, "does not exist"),
    ],
)
def test_mistakes_of_the_caller_are_exceptions(
    values: list[float], rule: str, settings: dict[str, object], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        select(values, RULES[rule], **settings)  # type: ignore[arg-type]


# -------------------------------------------------------------------------------------------- the factor


def test_the_closest_two_of_three_are_worth_less_than_two_trials() -> None:
    # The residuals of three normal values have a uniform direction: 1/2 + sqrt(3)/(4 pi) in closed form.
    exact = math.sqrt(0.5 + math.sqrt(3) / (4 * math.pi))

    assert table.CLOSEST[3, 2] == pytest.approx(exact, abs=5e-4)
    assert f"{exact:.2f}" == "0.80"
    assert table.CLOSEST[3, 2] > 1 / math.sqrt(2)


def test_the_shipped_table_is_what_the_generator_makes() -> None:
    made = tables(series=60_000, largest=5, seed=3)

    for name, rows in made.items():
        shipped = getattr(table, name)
        for key, row in rows.items():
            new = np.atleast_1d(np.array(row, dtype=np.float64))
            old = np.atleast_1d(np.array(shipped[key], dtype=np.float64))
            both = ~np.isnan(new) & ~np.isnan(old)
            assert both.any()
            assert new[both] == pytest.approx(old[both], abs=0.03), (name, key)
    assert tuple(LIMITS) == table.LIMITS_IN_SD


@pytest.mark.parametrize("name", ["CLOSEST_WITHIN", "GROUP_WITHIN", "FIRST_WITHIN"])
def test_no_row_of_the_table_is_empty_or_better_than_the_mean_of_all(name: str) -> None:
    for (made, averaged), row in getattr(table, name).items():
        factors = [f for f in row if f is not None]
        assert len(row) == len(table.LIMITS_IN_SD)
        assert factors, (made, averaged)
        assert min(factors) > 1 / math.sqrt(made)


def test_a_wide_limit_leaves_the_closest_as_they_are() -> None:
    for key, row in table.CLOSEST_WITHIN.items():
        assert row[-1] == pytest.approx(table.CLOSEST[key], abs=2e-4)
    free = tabulated_factor(RULES["closest-pair"], 3, 2, 100.0)
    assert free is not None
    assert free.value == table.CLOSEST[3, 2]


def test_between_two_limits_the_factor_lies_on_a_straight_line() -> None:
    left, right = (tabulated_factor(RULES["first-two"], 3, 2, x) for x in (1.0, 1.25))
    middle = tabulated_factor(RULES["first-two"], 3, 2, 1.125)
    assert left is not None
    assert right is not None
    assert middle is not None

    assert left.value == table.FIRST_WITHIN[3, 2][3]
    assert middle.value == pytest.approx((left.value + right.value) / 2)


def test_half_a_recording_step_is_added_to_the_limit() -> None:
    values = [21.30, 21.60, 21.65]
    coarse = select(values, RULES["first-two"], limit=0.10, sd=0.08, step=0.05)
    wider = select(values, RULES["first-two"], limit=0.125, sd=0.08)

    assert coarse.factor.value == wider.factor.value


def test_outside_the_table_the_factor_comes_from_the_trials_themselves() -> None:
    below = select([20.0, 20.4, 20.405], RULES["first-two"], limit=0.01, sd=0.10)
    many = select([20.0 + 0.1 * i for i in range(10)] + [20.91], RULES["first-two"], limit=0.05, sd=0.10)

    assert "table begins at" in below.factor.source
    assert "table ends at 10" in many.factor.source
    assert below.factor.value == configuration_factor([20.0, 20.4, 20.405], [1, 2], 0.10)


def test_trials_that_cannot_be_with_the_stated_scatter_are_a_finding() -> None:
    chosen = select([20.0, 20.2, 20.4, 20.41], RULES["first-two"], limit=0.10, sd=0.02)

    assert not chosen.factor.fits
    assert "scatter-does-not-fit" in codes(chosen)
    assert chosen.factor.value > 1


def test_the_factor_of_marked_trials_does_not_ask_why_they_were_marked() -> None:
    series = [20.00, 20.10, 20.02]
    chosen = select(series, RULES["as-marked"], sd=0.05, marked=[0, 2])

    shift, of_mean = abs(20.01 - 20.04) / 0.05, 1 / math.sqrt(3)
    assert chosen.factor.value == pytest.approx((shift + 1.695398 * of_mean) / 1.959964)
    assert chosen.factor.value < math.hypot(of_mean, shift)
    nearly_all = select([20.0, 20.01, 20.0], RULES["as-marked"], sd=0.05, marked=[0, 2])
    assert nearly_all.factor.value == pytest.approx(math.hypot(of_mean, 0.01 / 3 / 0.05))
    assert select(series, RULES["as-marked"], sd=0.05, marked=[0, 1, 2]).factor.value == 1 / math.sqrt(3)


def test_without_a_standard_deviation_that_of_the_trials_is_taken_and_named() -> None:
    values = [20.00, 20.10, 20.02]
    chosen = select(values, RULES["closest-pair"], limit=0.10)

    assert "standard deviation of these trials" in chosen.factor.source
    given = select(values, RULES["closest-pair"], limit=0.10, sd=float(np.std(values, ddof=1)))
    assert chosen.factor.value == given.factor.value


def test_rules_that_stop_do_not_vouch_for_their_own_scatter() -> None:
    for rule in RULES.values():
        chosen = select([20.0, 20.05, 20.1], rule, limit=0.20, sd=0.05, marked=[0, 1])
        assert chosen.own_scatter_is_honest is (rule.kind is not Kind.FIRST)
        finding = own_scatter_finding(chosen)
        assert (finding is None) is chosen.own_scatter_is_honest


def test_own_scatter_is_pooled_from_four_trials_on() -> None:
    assert [own_scatter_counts(RULES["closest-pair"], n) for n in (3, 4)] == [False, True]
    assert not own_scatter_counts(RULES["first-two"], 6)


# ----------------------------------------------------------------------------------------------- coverage


@EVERY_RULE
@pytest.mark.parametrize("step", [0.01, 0.05])
def test_the_simulation_chooses_and_weighs_as_the_product_does(name: str, step: float) -> None:
    rule, generator = RULES[name], np.random.default_rng(11)
    bench = coverage.Bench(sd_ml=0.07, step_ml=step)
    sd = 0.06
    for count in range(max(2, rule.members), 6):
        rows = np.round(coverage.titres(bench, count, 150, generator), 9)
        made = coverage.average(rows, rule, bench.limit_ml)
        in_sd = np.full(len(rows), (bench.limit_ml + step / 2) / sd)
        factors = coverage.factors(rows, made, rule, in_sd, np.full(len(rows), sd))
        for at in np.flatnonzero(made.made):
            marked = np.argsort(rows[at])[-2:].tolist()
            one = select(
                rows[at].tolist(),
                rule,
                limit=bench.limit_ml,
                sd=sd,
                step=step,
                marked=marked if count > 2 else range(2),
            )
            assert float(np.dot(one.weights, rows[at])) == pytest.approx(float(made.value[at]), abs=1e-9)
            assert one.factor.value == pytest.approx(float(factors[at]), rel=1e-6)


SOME_BENCHES = (
    coverage.Bench(0.04, 0.10, 0.01, 10.0),
    coverage.Bench(0.05, 0.10, 0.05, 30.0),
    coverage.Bench(0.25, 0.10, 0.01, math.inf),
)


def test_intervals_of_every_shipped_rule_hold_what_they_promise() -> None:
    seen = set()
    for cell in coverage.cells(20_000, benches=SOME_BENCHES):
        if not math.isnan(cell.share):
            seen.add((cell.rule, cell.count))
            assert coverage.LOWEST <= cell.share <= coverage.HIGHEST, cell
    assert {(rule, count) for rule in RULES for count in (3, 4, 5)} <= seen


def test_the_simulation_can_tell_a_wrong_factor() -> None:
    rule, bench = RULES["closest-pair"], coverage.Bench(0.04, 0.10, 0.01, math.inf)
    rows = coverage.titres(bench, 3, 20_000, np.random.default_rng(4))
    mean = coverage.average(rows, rule, bench.limit_ml)

    naive = np.abs(mean.value) <= 1.96 * bench.recorded_sd_ml / math.sqrt(2)
    assert float(naive.mean()) < coverage.LOWEST


def test_an_early_agreement_alone_does_not_carry_an_interval() -> None:
    held, seen = coverage.inside(
        RULES["first-three"], 3, coverage.Bench(0.12, 0.10, 0.01), "own", 40_000, coverage.SEED
    )

    assert held / seen < 0.85


def test_what_is_said_about_three_titres_is_rebuilt() -> None:
    claims = coverage.small_number_claims(200_000)

    assert claims["k = 2 on a mean of three, own scatter: coverage"] == pytest.approx(0.82, abs=0.005)
    assert claims["closest two of three: factor"] == pytest.approx(0.80, abs=0.005)
    assert claims["closest two of three: variance of their mean, in SD^2"] == pytest.approx(0.637, abs=0.006)


def test_trials_are_called_by_their_own_names_and_limits_carry_their_unit() -> None:
    chosen = select(
        [20.10, 20.11, 20.40], RULES["largest-group"], limit=0.1, labels=["4", "7b", "9"], unit="mL"
    )

    assert chosen.reasons[2] == "not averaged: outside the largest group within 0.10 mL, trials 4 and 7b"


def test_a_small_limit_is_told_in_plain_figures() -> None:
    chosen = select([0.1, 0.2], RULES["all-accurate"], limit=0.0000418769, unit="mol/L")

    assert "The two accurate trials do not agree within 0.000042 mol/L. Both are averaged" in (
        chosen.findings[0].message
    )


def test_a_trial_alone_is_averaged_without_another_word() -> None:
    assert select([20.1], RULES["largest-group"], limit=0.1).reasons == ("averaged",)


def test_very_many_trials_are_counted_and_not_named_in_every_reason() -> None:
    chosen = select([*([20.1] * 3000), *([30.0] * 2000)], RULES["largest-group"], limit=0.1)

    assert max(map(len, chosen.reasons)) < 80
    assert chosen.reasons[-1].endswith("3000 trials")
