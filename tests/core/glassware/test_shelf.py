"""The register and its history."""

from __future__ import annotations

import datetime as dt

from halfdrop.core.glassware.shelf import Event, Fault, History, Kind, Piece, Shelf, WeightCheck, What
from tests.core.glassware.shelves import day, event


def test_a_history_is_in_the_order_of_days_and_keeps_the_order_within_one() -> None:
    history = History.of([event(What.USED, 5), event(What.CLEANED, 2), event(What.PUT_AWAY, 5)])

    assert [one.what for one in history.events] == [What.CLEANED, What.USED, What.PUT_AWAY]


def test_since_is_what_came_after_the_latest_of_a_kind() -> None:
    history = History.of(
        [event(What.CLEANED, 1), event(What.USED, 1), event(What.CLEANED, 3), event(What.USED, 3)]
    )

    assert [one.date for one in history.since(What.CLEANED).events] == [day(3)]
    assert history.since(What.RETIRED) == history


def test_two_like_events_of_one_day_are_told_apart_by_their_place() -> None:
    history = History.of([event(What.CLEANED, 1), event(What.USED, 1), event(What.CLEANED, 1)])

    assert history.since(What.CLEANED).events == ()
    assert history.place_of_last(What.USED) == 1
    assert history.place_of_last(What.RETIRED) == -1


def test_a_history_can_be_looked_at_as_it_stood() -> None:
    history = History.of([event(What.CLEANED, 1), event(What.USED, 4)])

    assert [one.what for one in history.up_to(day(3)).events] == [What.CLEANED]


def test_events_go_to_their_pieces_and_none_is_lost() -> None:
    shelf = Shelf(
        (Piece("B1", Kind.BURETTE), Piece("B2", Kind.BURETTE)),
        (event(What.USED, 1), event(What.USED, 2, "X")),
    )

    histories = shelf.histories()

    assert {name: len(one.events) for name, one in histories.items()} == {"B1": 1, "B2": 0, "X": 1}
    assert shelf.piece("B2") == shelf.pieces[1]
    assert shelf.piece("X") is None


def test_entries_are_equal_by_what_they_say_not_by_where_they_stand() -> None:
    one = Event("B1", dt.date(2026, 9, 1), What.FOUND, fault=Fault.BLOCKED)
    assert one == Event("B1", dt.date(2026, 9, 1), What.FOUND, fault=Fault.BLOCKED)
    assert len({one, event(What.FOUND, 1, fault=Fault.BLOCKED)}) == 1


def test_a_check_weight_shows_its_error_in_milligrams() -> None:
    assert abs(WeightCheck(100.0, 100.0012, 1.0).error_mg - 1.2) < 1e-6
