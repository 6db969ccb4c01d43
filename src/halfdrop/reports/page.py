"""The report on a result, as content: built once from the answer, rendered by every writer."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop import __version__
from halfdrop.core.titration.record import Determination
from halfdrop.reports.content import Report, Section
from halfdrop.reports.parts.method import method_sections
from halfdrop.reports.parts.record import record_sections
from halfdrop.reports.parts.results import findings, headlines, other_readings
from halfdrop.reports.parts.trials import trial_sections
from halfdrop.reports.parts.uncertainty import budget_sections, choice_sections, monte_carlo_sections
from halfdrop.reports.parts.working import printed_numbers, working_sections
from halfdrop.usecases.result import ResultAnswer


def report_on(answer: ResultAnswer, written_on: str = "") -> Report:
    """Return the report on a result.

    Args:
        answer: the result with all that defends it.
        written_on: day on which the report is written, in words; left out when not given, so that the same
            data give the same report.
    """
    record, method = answer.worked.determination, answer.worked.method
    made = f"Halfdrop {__version__}" + (f", {written_on}" if written_on else "")
    digest = f"record {record.digest[:12]}" if record.digest else ""
    return Report(
        record.sample or method.title,
        method.title,
        tuple((name, text) for name, text in _who(record) if text),
        headlines(answer),
        tuple(_sections(answer)),
        " · ".join(part for part in (record.sample, method.title, digest) if part),
        made,
    )


def _who(record: Determination) -> Iterator[tuple[str, str]]:
    yield "Analyst", record.analyst
    yield "Date", record.date
    yield "Titrant bottle", record.bottle
    burettes = (
        f"{one.id} ({one.capacity_ml} mL{f', class {one.grade}' if one.grade else ''})"
        for one in record.burettes.values()
    )
    yield "Burette", ", ".join(burettes)


def _sections(answer: ResultAnswer) -> Iterator[Section]:
    worked = answer.worked
    yield from other_readings(worked)
    yield from findings(answer)
    yield from trial_sections(worked)
    figures = printed_numbers(answer)
    yield from working_sections(answer, figures)
    yield from budget_sections(answer)
    yield from monte_carlo_sections(answer)
    yield from choice_sections(answer)
    yield from method_sections(worked.method)
    yield from record_sections(answer, figures)
