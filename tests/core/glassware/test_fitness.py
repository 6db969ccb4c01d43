"""Verdicts: fit, fit with a limit, not fit, and why."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.glassware.drainage import Creep, DrainageCheck
from halfdrop.core.glassware.fitness import check_history, verdicts
from halfdrop.core.glassware.leak import Stand, Wipe
from halfdrop.core.glassware.readings import Reading
from halfdrop.core.glassware.shelf import (
    CalibrationDone,
    Event,
    Fault,
    Kind,
    LeakTest,
    Piece,
    Shelf,
    Tap,
    WeightCheck,
    What,
)
from halfdrop.core.glassware.verdict import Standing
from tests.core.glassware.pages import codes
from tests.core.glassware.shelves import (
    BALANCE,
    BURETTE,
    CARE,
    TODAY,
    day,
    event,
    reasons,
    tight,
    timed,
    verdict,
)

FIT, LIMIT, NOT_FIT = Standing.FIT, Standing.LIMIT, Standing.NOT_FIT
GLASS_TAP = replace(BURETTE, tap=Tap.GLASS)
FLASK = Piece("B1", Kind.FLASK)


def stood(end: str, minutes: float = 20) -> Event:
    return event(What.LEAK_TEST, 20, test=LeakTest(stand=Stand(Reading("0.00"), Reading(end), minutes)))


def done(outcome: Outcome | None = Outcome.WITHIN, number: int = 1, **more: object) -> Event:
    return event(What.CALIBRATED, number, test=CalibrationDone(outcome, **more))  # type: ignore[arg-type]


def drained(droplets: bool, number: int = 20, creep: Creep | None = None) -> Event:
    return event(What.DRAINAGE, number, test=DrainageCheck(droplets, creep))


def test_a_burette_with_good_tests_is_fit() -> None:
    found = verdict(tight(), timed(40), drained(droplets=False), done())

    assert found.standing is FIT
    assert [one.code for one in found.reasons] == [
        "leak-within",
        "delivery-in-range",
        "delivery-standards-differ",
    ]


def test_a_burette_of_which_nothing_is_known_is_fit_once_its_tap_was_looked_at() -> None:
    found = verdict()

    assert (found.standing, [one.code for one in found.reasons]) == (LIMIT, ["leak-untested"])
    assert "Wipe the tip" in found.reasons[0].then


@pytest.mark.parametrize(
    ("end", "minutes", "code", "standing"),
    [
        ("0.05", 20, "leak-within", FIT),
        ("0.30", 20, "leaks", NOT_FIT),
        ("0.01", 5, "leak-undecided", LIMIT),
    ],
)
def test_a_timed_stand_decides_with_its_cost_in_a_trial(
    end: str, minutes: float, code: str, standing: Standing
) -> None:
    (reason,) = verdict(stood(end, minutes)).reasons

    assert (reason.code, reason.standing) == (code, standing)
    assert "% of 25 mL" in reason.says
    assert reason.source == "the leak standard"


def test_an_undecided_stand_says_how_long_it_has_to_be() -> None:
    assert verdict(stood("0.01", 5)).reasons[0].then == "Let it stand for 17 min or longer."


def test_a_drop_at_the_wiped_tip_is_a_leak_until_the_tap_is_tested_again() -> None:
    drop = event(What.LEAK_TEST, 10, test=LeakTest(Wipe(drop=True)))

    assert verdict(drop).standing is NOT_FIT
    assert reasons(drop, event(What.REPAIRED, 12)) == ["leak-untested"]
    assert reasons(drop, event(What.REPAIRED, 12), tight(13)) == ["leak-within"]


def test_an_old_leak_test_is_due_again() -> None:
    assert reasons(tight(1), today=dt.date(2026, 10, 1)) == ["leak-within"]
    assert reasons(tight(1), today=dt.date(2026, 10, 2)) == ["leak-test-due", "leak-within"]


@pytest.mark.parametrize(
    ("seconds", "code", "standing"),
    [(40, "delivery-in-range", FIT), (20, "delivers-too-fast", LIMIT), (70, "delivers-too-slowly", LIMIT)],
)
def test_a_delivery_time_is_held_against_the_class(seconds: float, code: str, standing: Standing) -> None:
    found = {one.code: one for one in verdict(tight(), timed(seconds)).reasons}

    assert found[code].standing is standing
    assert "35 to 45 s (from memory)" in found[code].says
    assert "ISO 385, class A, 105 to 150 s" in found["delivery-standards-differ"].says


def test_what_is_written_on_the_piece_comes_before_the_standard() -> None:
    own = replace(BURETTE, delivery_s=(50.0, 60.0))
    assert "delivers-too-fast" in reasons(tight(), timed(40), piece=own)


def test_a_piece_of_another_class_has_no_range_here() -> None:
    assert "delivery-range-unknown" in reasons(tight(), timed(40), piece=replace(BURETTE, glass_class="B"))


def test_a_blocked_tip_is_not_fit_until_it_is_cleared_and_timed() -> None:
    blocked = timed(blocked=True, number=10)

    assert reasons(tight(), blocked)[0] == "tip-blocked"
    assert "delivery-untested" in reasons(tight(), blocked, event(What.TIP_CLEARED, 11))
    assert verdict(tight(), blocked, event(What.TIP_CLEARED, 11), timed(40, number=12)).standing is FIT


def test_droplets_make_it_unfit_until_it_is_cleaned_and_looked_at() -> None:
    dirty = drained(droplets=True, number=10)

    assert reasons(tight(), dirty)[0] == "droplets-cling"
    assert reasons(tight(), dirty, event(What.CLEANED, 11))[0] == "drainage-untested"
    assert (
        verdict(tight(), dirty, event(What.CLEANED, 11), drained(droplets=False, number=12)).standing is FIT
    )


def test_a_creeping_level_asks_for_a_wait() -> None:
    slow = Creep(Reading("40.00"), Reading("39.92"), 60)

    found = verdict(tight(), drained(droplets=False, creep=slow))

    assert found.reasons[0].code == "film-comes-down"
    assert "Wait at least 60 s" in found.reasons[0].then
    still = Creep(Reading("40.00"), Reading("40.00"), 60)
    assert verdict(tight(), drained(droplets=False, creep=still)).standing is FIT


@pytest.mark.parametrize(
    ("outcome", "corrections", "code", "standing"),
    [
        (Outcome.OUT, True, "use-with-corrections", LIMIT),
        (Outcome.OUT, False, "out-of-tolerance", NOT_FIT),
        (Outcome.CANNOT_DECIDE, True, "calibration-undecided", LIMIT),
        (Outcome.CANNOT_DECIDE, False, "calibration-undecided", LIMIT),
    ],
)
def test_a_calibration_limits_what_a_piece_is_good_for(
    outcome: Outcome, corrections: bool, code: str, standing: Standing
) -> None:
    (reason,) = verdict(
        done(outcome, corrections=corrections, worst_ml=-0.08, limit_ml=0.05), piece=FLASK
    ).reasons

    assert (reason.code, reason.standing) == (code, standing)
    assert "0.080 mL" in reason.says


def test_a_calibration_past_its_date_no_longer_holds() -> None:
    assert reasons(done(due=dt.date(2026, 9, 29)), piece=FLASK) == ["calibration-overdue"]
    assert reasons(done(due=TODAY), piece=FLASK) == []
    assert reasons(done(), piece=FLASK, today=dt.date(2036, 9, 30)) == ["calibration-overdue"]
    assert reasons(done(due=dt.date(2040, 1, 1)), piece=FLASK, today=dt.date(2036, 9, 30)) == []


def test_a_repair_ends_a_calibration() -> None:
    assert reasons(done(), event(What.REPAIRED, 5), piece=FLASK) == ["calibration-before-repair"]


def test_what_it_was_used_with_has_to_be_cleaned_out() -> None:
    used = event(What.USED, 25, solution="silver nitrate")

    assert reasons(tight(), used)[0] == "not-cleaned"
    assert reasons(tight(), used, event(What.CLEANED, 25)) == ["leak-within"]
    assert reasons(tight(), event(What.USED, 25, solution="Water")) == ["leak-within"]
    assert reasons(used, piece=FLASK) == ["not-cleaned"]


def test_the_same_solution_again_still_asks_for_a_rinse() -> None:
    used = event(What.USED, 25, solution="Silver nitrate")

    found = verdict(tight(), used, purpose="silver nitrate")

    assert (found.standing, found.reasons[0].code) == (LIMIT, "same-solution")


def test_alkali_in_a_ground_glass_tap_is_told_apart_from_a_plastic_one() -> None:
    used = event(What.USED, 25, solution="0.1 mol/L sodium hydroxide")

    assert "alkali-in-glass-tap" in reasons(tight(), used, piece=GLASS_TAP)
    assert "alkali-in-glass-tap" not in reasons(tight(), used)
    assert reasons(tight(), used, event(What.CLEANED, 25), piece=GLASS_TAP) == ["leak-within"]


def test_a_closed_tap_on_a_solution_that_crystallises_blocks_the_tip() -> None:
    used = event(What.USED, 25, solution="sodium chloride")
    closed = event(What.PUT_AWAY, 26, tap_closed=True)

    assert "crystals-in-tip" in reasons(tight(), used, closed)
    assert "crystals-in-tip" not in reasons(tight(), used, replace(closed, tap_closed=False))
    assert "crystals-in-tip" not in reasons(tight(), used, event(What.CLEANED, 26), closed)
    assert "crystals-in-tip" not in reasons(tight(), used, closed, event(What.TIP_CLEARED, 27))


@pytest.mark.parametrize("fault", list(Fault))
def test_a_fault_that_was_found_makes_it_unfit_until_it_is_mended(fault: Fault) -> None:
    found = event(What.FOUND, 22, fault=fault, note="at the bench")

    said = verdict(tight(), found)

    assert said.standing is NOT_FIT
    assert "at the bench" in said.reasons[0].says
    assert reasons(tight(), found, event(What.REPAIRED, 23), tight(24)) == ["leak-within"]


def test_a_tip_that_was_cleared_is_no_longer_blocked() -> None:
    blocked = event(What.FOUND, 22, fault=Fault.BLOCKED)
    chipped = event(What.FOUND, 22, fault=Fault.CHIPPED)

    assert reasons(tight(), blocked, event(What.TIP_CLEARED, 23)) == ["leak-within"]
    assert "tip-chipped" in reasons(tight(), chipped, event(What.TIP_CLEARED, 23))


def test_what_is_away_cannot_be_used() -> None:
    lent = event(What.LENT, 5, until=day(20), note="physics")

    assert reasons(tight(), lent)[0] == "lent"
    assert "Ask for it back" in verdict(tight(), lent).reasons[0].then
    assert reasons(tight(), lent, event(What.RETURNED, 6)) == ["leak-within"]


def test_a_retired_piece_is_not_counted() -> None:
    found = verdict(tight(), event(What.RETIRED, 25))

    assert found.standing is NOT_FIT
    assert not found.counted
    assert verdict(tight()).counted


def test_a_balance_is_judged_by_calibration_and_check_weight() -> None:
    good = event(What.CHECK_WEIGHT, 30, test=WeightCheck(100.0, 100.0003, 1.0))
    bad = event(What.CHECK_WEIGHT, 30, test=WeightCheck(100.0, 100.0013, 1.0))

    assert reasons(done(None), good, piece=BALANCE) == []
    assert reasons(done(None), bad, piece=BALANCE) == ["check-weight-out"]
    assert reasons(good, piece=BALANCE) == ["calibration-missing"]
    assert "check-weight-due" in reasons(done(None), replace(good, date=day(28)), piece=BALANCE)


def test_what_is_dated_later_is_not_looked_at_yet() -> None:
    later = event(What.RETIRED, 30)
    assert "retired" not in reasons(tight(), later, today=day(29))


def test_every_reason_to_hold_a_piece_back_says_what_to_do() -> None:
    used = event(What.USED, 25, solution="sodium hydroxide")
    shelf = Shelf((GLASS_TAP,), (stood("0.30"), timed(20), drained(droplets=True), done(Outcome.OUT), used))

    (found,) = verdicts(shelf, CARE, TODAY)

    assert len(found.reasons) >= 6
    assert all(reason.then for reason in found.reasons if reason.standing is not FIT)


def test_a_history_that_contradicts_itself_is_found_and_nothing_is_dropped() -> None:
    events = (
        event(What.RECEIVED, 10), event(What.CLEANED, 5), event(What.RETIRED, 20), event(What.USED, 25),
        event(What.USED, 25), replace(event(What.USED, 1), date=dt.date(2027, 1, 1)),
    )  # fmt: skip

    found = check_history(Shelf((BURETTE, BURETTE), events), TODAY)

    assert sorted(codes(found)) == [
        "event-after-retired", "event-after-retired", "event-after-retired", "event-before-received",
        "event-in-future", "event-twice", "piece-twice",
    ]  # fmt: skip


def test_a_leak_test_of_a_flask_and_a_cleaned_balance_are_odd() -> None:
    flask = Shelf((FLASK,), (tight(),))
    balance = Shelf((BALANCE,), (event(What.CLEANED, 3),))

    assert codes(check_history(flask, TODAY)) == ["event-of-another-kind"]
    assert codes(check_history(balance, TODAY)) == ["event-of-another-kind"]
