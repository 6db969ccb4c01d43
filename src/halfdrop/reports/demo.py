"""The demonstration class in words, for a terminal: one line for each page, and where the benches stand."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.findings import Severity
from halfdrop.core.measure.rounding import report
from halfdrop.usecases.demo import Centre, Demonstration, agreed
from halfdrop.usecases.result import ResultAnswer

_AGREED = {True: "yes", False: "no", None: "-"}
_HEADINGS = ("page", "result ± expanded uncertainty", "used", "agree", "to look at")
_SCALE = 41  # characters from the lowest to the highest bench


def demo_lines(shown: Demonstration) -> Iterator[str]:
    """Yield the summary: a table of pages, the centre of each sample, where the reports lie."""
    yield "Ostrelby College, an invented class, on Thursday 17 September 2026"
    yield ""
    yield from _table([_HEADINGS, *(_row(name, one) for name, one in shown.answers.items())])
    for centre in shown.centres:
        yield ""
        yield from _centre(centre, shown)
    yield ""
    yield f"Pages and reports are in {shown.folder}: bench-1.toml, bench-1.html, bench-1.pdf and so on."
    yield f"What was noticed on a page, and why: halfdrop result {shown.folder / 'bench-5.toml'}"


def _row(name: str, answer: ResultAnswer) -> tuple[str, ...]:
    compared = answer.worked.compared.get(answer.worked.method.main_series.name)
    used = f"{_used(answer)} of {len(compared.trials)}" if compared else ""
    count = sum(one.severity is Severity.ATTENTION for one in answer.findings)
    unit = "" if answer.worked.unit == "1" else f" {answer.worked.unit}"
    result = f"{answer.expanded.text()}{unit}"
    return (name, result, used, _AGREED[agreed(answer)], str(count or ""))


def _used(answer: ResultAnswer) -> int:
    rows = answer.trial_rows(answer.worked.method.main_series.name)
    return sum(row.used for row in rows)


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    for row in rows:
        yield "   ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()


def _centre(centre: Centre, shown: Demonstration) -> Iterator[str]:
    """Say where the benches stand, and draw it on a scale."""
    text = report(centre.median, centre.spread).text().replace(" ± ", f" {centre.unit}, spread ")
    yield f"{centre.sample}, {len(centre.pages)} benches: median {text} {centre.unit}"
    yield "(spread: 1.4826 times the median absolute deviation)"
    values = {name: shown.answers[name].worked.value for name in centre.pages}
    yield from _scale(values, centre.unit)


def _scale(values: dict[str, float], unit: str) -> Iterator[str]:
    """Draw values as marks over a line; benches at one mark stand above each other."""
    low, high = min(values.values()), max(values.values())
    if high <= low:
        return
    at: dict[int, list[str]] = {}
    for name, value in values.items():
        at.setdefault(round((value - low) / (high - low) * (_SCALE - 1)), []).append(name.rpartition("-")[2])
    for level in reversed(range(max(len(names) for names in at.values()))):
        marks = {place: names[level] for place, names in at.items() if level < len(names)}
        yield "    " + "".join(marks.get(place, " ")[-1] for place in range(_SCALE)).rstrip()
    yield "    " + "".join(
        "|" if place % 10 == 0 else "'" if place % 5 == 0 else "." for place in range(_SCALE)
    )
    left, right = f"{low:.4g}", f"{high:.4g} {unit}"
    yield "    " + left + right.rjust(_SCALE - len(left) + len(unit) + 1)
