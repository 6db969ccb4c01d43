"""Record sheets to print, for a class on paper or a student without a phone: bench and burette filled in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from halfdrop.core.titration.method import Method, Series
from halfdrop.reports.labels import set_pages
from halfdrop.usecases.day import DayAnswer, bench_sizes

_TRIALS = ("rough", "2", "3", "4", "5", "6")
REMINDER = (
    "Write each reading as you read it, to the last figure you can estimate (23.40, not 23.4). A slip is "
    "crossed out with one "
    "line and stays readable. The first trial is a rough one."
)


def record_sheets_pdf(answer: DayAnswer, paper: str = "a4") -> bytes:
    """Return record sheets for every analyst and method of a day.

    Args:
        answer: the day.
        paper: name of a size as typst has it.
    """
    plan = answer.plan
    methods = list(plan.methods.values())
    method = methods[0] if methods else None
    places = list(_places(answer))
    data: dict[str, Any] = {
        "paper": paper, "title": method.title if method else plan.title, "subtitle": plan.title,
        "date": f"{answer.when:%Y-%m-%d}", "mark": f"{plan.title} · record sheet · plan {plan.digest[:12]}",
        "blanks": ["sample", "titrant, bottle", "room °C"], "reminder": REMINDER,
        "series": list(_all_series(methods)),
        "results": [_result(one) for one in methods], "sheets": places,
    }  # fmt: skip
    return set_pages("record_sheets", data, {})


def _places(answer: DayAnswer) -> Iterator[dict[str, str]]:
    """Yield bench and burette of every analyst: burettes are counted through, as they are set out."""
    count = 0
    for bench, size in enumerate(bench_sizes(answer.plan), 1):
        for _ in range(size):
            count += 1
            yield {"bench": str(bench), "burette": f"B{count:02d}"}


def _all_series(methods: Sequence[Method]) -> Iterator[dict[str, Any]]:
    if not methods:
        rows = ["final, mL", "initial, mL", "titre, mL"]
        yield {"title": "Trials", "says": "", "trials": list(_TRIALS), "rows": rows}
    for one in methods:
        yield from _series(one, several=len(methods) > 1)


def _series(method: Method, *, several: bool) -> Iterator[dict[str, Any]]:
    masses = [f"{q.says}, {q.unit}" for q in method.quantities.values() if q.per_trial and q.kind == "mass"]
    for one in method.series.values():
        name = f"{method.title}, {one.name}" if several else one.name
        first = one is method.main_series
        yield {
            "title": name[0].upper() + name[1:], "says": one.says, "trials": list(_TRIALS),
            "rows": [*(masses if first else []), *_rows(one)],
        }  # fmt: skip


def _rows(one: Series) -> Iterator[str]:
    """Yield the readings as they are subtracted: later above earlier, then the difference."""
    for later, earlier in zip(reversed(one.readings[1:]), reversed(one.readings[:-1]), strict=True):
        yield f"{later.replace('_', ' ')}, mL"
        if earlier == one.readings[0]:
            yield f"{earlier.replace('_', ' ')}, mL"
    yield "titre, mL"


def _result(method: Method) -> str:
    return f"mean of the titres used, and {method.result_says}"
