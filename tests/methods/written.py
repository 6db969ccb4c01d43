"""A page of readings in one call: a method by name or file, readings as written, and what else was given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache
from pathlib import Path

from halfdrop.core.glassware.readings import Reading
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.record import Burette, Choice, Determination, Given, Room, Trial
from halfdrop.core.titration.work import Worked, work_out
from halfdrop.files.methods import read_method, shipped_blocks

HERE = Path(__file__).parent
ABRIDGED = "CIAAW 2021 abridged"

Page = Sequence[tuple[str, str, Mapping[str, str]]]


@cache
def read(name: str) -> Method:
    """Return a method by name: a file beside this module, made for a printed example, or a shipped one."""
    beside = HERE / f"{name}.toml"
    method, findings = read_method(beside if beside.exists() else name)
    assert method is not None, [str(finding) for finding in findings]
    return method


def worked(
    name: str,
    trials: Page | Mapping[str, Page],
    blank: Page | str = (),
    weights: str = ABRIDGED,
    rule: str = "all-accurate",
    **given: str,
) -> Worked:
    """Work out a page on which nothing is corrected: burette without error, every volume at 20 degC.

    Args:
        name: the method, as :func:`read` takes it.
        trials: the first two readings; other readings and quantities of the trial's own by name. Several
            series: a page for each, by name.
        blank: trials of the series ``blank``, or the titre of the blank as written.
        weights: named set of atomic weights.
        rule: which trials are averaged.
        given: quantities of all trials by name, as written, in the unit of the method.
    """
    method = read(name)
    pages = trials if isinstance(trials, Mapping) else {method.main_series.name: trials}
    if isinstance(blank, str):
        given, blank = {**given, "blank": blank}, ()
    return work_out(
        method,
        shipped_blocks(),
        Determination(
            method=method.name,
            sample="invented",
            burette="B",
            second_burette="B",
            burettes={"B": Burette("B", Decimal(100), Decimal("0.1"), 0.0, "none")},
            room=Room(u_degc=0.0),
            given={**_taken(method), **_given(method, given)},
            links={},
            trials=tuple(
                trial
                for name, page in {**pages, "blank": blank}.items()
                if page
                for trial in _trials(method, name, page)
            ),
            choice=Choice(rule=rule),
            weights=weights,
        ),
    )


def plain(*readings: tuple[str, str]) -> Page:
    """Return trials that have nothing of their own but their readings."""
    return [(initial, final, {}) for initial, final in readings]


def _trials(method: Method, series: str, page: Page) -> list[Trial]:
    found = []
    for number, (initial, final, own) in enumerate(page, 1):
        names = method.series[series].readings
        texts = {names[0]: initial, names[1]: final, **own}
        readings = {name: Reading(texts[name]) for name in names if name in texts}
        given = _given(method, {name: text for name, text in own.items() if name not in names})
        found.append(Trial(str(number), series, readings, given=given))
    return found


def _given(method: Method, texts: Mapping[str, str]) -> dict[str, Given]:
    return {
        name: Given(name, float(text), method.quantities[name].unit, written=text)
        for name, text in texts.items()
    }


def _taken(method: Method) -> dict[str, Given]:
    """Return what the method takes when a page does not say."""
    taken = {name: one.value for name, one in method.quantities.items() if one.value}
    return _given(method, taken)


def result(done: Worked, symbol: str) -> float:
    """Return one of several results by its symbol."""
    return next(one.value for one in done.results if one.symbol == symbol)
