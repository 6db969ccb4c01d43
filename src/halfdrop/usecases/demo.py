"""The demonstration: an invented class, its pages worked out, and where the benches stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

import numpy as np

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.result import ResultAnswer, result

# In the order of the afternoon; a standardisation comes before the benches that rest on it.
PAGES = (
    "hydroxide", "hydrochloric-acid", "bench-1", "bench-2", "bench-3", "bench-4", "bench-5", "bench-6",
    "bench-7", "bench-8-hydroxide", "bench-8", "bench-9", "bench-10",
)  # fmt: skip
FEWEST = 3  # benches with one sample, for a centre and a spread to mean something
MAD_TO_SD = 1.4826  # of normal values: 1 / (75 % quantile of the standard normal distribution)


@dataclass(frozen=True)
class Centre:
    """Where the benches with one sample stand.

    Attributes:
        sample: what they titrated.
        pages: names of their pages.
        unit: of the figures.
        median: the middle of their results.
        spread: 1.4826 times the median absolute deviation from it, a standard deviation for normal values.
    """

    sample: str
    pages: tuple[str, ...]
    unit: str
    median: float
    spread: float


@dataclass(frozen=True)
class Demonstration:
    """The demonstration class worked out.

    Attributes:
        folder: where its pages lie.
        answers: page -> its result, in the order of the afternoon.
        centres: where the benches stand, for each sample that enough of them titrated.
        findings: what was noticed about the folder; what was noticed on a page is with its answer.
    """

    folder: Path
    answers: dict[str, ResultAnswer]
    centres: tuple[Centre, ...]
    findings: tuple[Finding, ...] = ()

    def to_json(self) -> dict[str, object]:
        """Return the demonstration as data: each page with its result in short, and the centres."""
        return {
            "folder": str(self.folder),
            "pages": [_page(name, one) for name, one in self.answers.items()],
            "centres": [_centre(one) for one in self.centres],
            "findings": [finding_as_data(one) for one in self.findings],
        }


def demonstration(folder: Path) -> Demonstration:
    """Put the pages of the demonstration class into a folder and work them out.

    A page that is there already and differs is left as it is and worked out so, with a note.

    Raises:
        Refused: with the findings of all pages, when one of them cannot be used.
    """
    noticed = tuple(_copied(folder))
    answers, refusals = {}, []
    for name in PAGES:
        try:
            answers[name] = result(folder / f"{name}.toml")
        except Refused as refused:
            refusals += [one for one in refused.findings if one not in refusals]
    if refusals:
        raise Refused([*noticed, *refusals])
    return Demonstration(folder, answers, tuple(centres(answers)), noticed)


def demo_files() -> list[Traversable]:
    """Return the shipped files of the demonstration: pages and tables of trials."""
    return sorted((resources.files("halfdrop") / "data" / "demo").iterdir(), key=lambda file: file.name)


def _copied(folder: Path) -> Iterator[Finding]:
    """Copy the shipped files to a folder; one that a person changed there is kept."""
    folder.mkdir(parents=True, exist_ok=True)
    for file in demo_files():
        there, content = folder / file.name, file.read_bytes()
        if not there.exists():
            there.write_bytes(content)
        elif there.read_bytes() != content:
            message = (
                "This page differs from the one that is shipped, and was worked out as it is. "
                "Delete it to get that one."
            )
            yield Finding("page-kept", Severity.NOTE, message, Place(str(there)))


def centres(answers: dict[str, ResultAnswer]) -> Iterator[Centre]:
    """Yield median and spread for each sample and method that at least three pages have in common."""
    groups: dict[tuple[str, str, str], dict[str, float]] = {}
    for name, answer in answers.items():
        worked = answer.worked
        key = (worked.determination.sample, worked.method.name, worked.unit)
        groups.setdefault(key, {})[name] = worked.value
    for (sample, _, unit), found in groups.items():
        if len(found) >= FEWEST:
            median, spread = robust(found.values())
            yield Centre(sample, tuple(found), unit, median, spread)


def robust(values: Iterable[float]) -> tuple[float, float]:
    """Return the median, and the median absolute deviation from it scaled to a standard deviation."""
    each = np.array(list(values), dtype=float)
    median = float(np.median(each))
    return median, MAD_TO_SD * float(np.median(np.abs(each - median)))


def _page(name: str, answer: ResultAnswer) -> dict[str, object]:
    worked, main = answer.worked, answer.main
    return {
        "page": name,
        "sample": worked.determination.sample,
        "method": worked.method.name,
        "value": worked.value,
        "unit": worked.unit,
        "u": worked.u,
        "expanded": main.expanded_u,
        "k": main.k,
        "text": f"{main.expanded.text()} {worked.unit}",
        "concordant": agreed(answer),
        "findings": [finding_as_data(one) for one in answer.findings],
    }


def agreed(answer: ResultAnswer) -> bool | None:
    """Tell whether the trials of the main series agree; None where nothing is there to tell by."""
    compared = answer.worked.compared.get(answer.worked.method.main_series.name)
    return None if compared is None else compared.selection.concordant


def _centre(one: Centre) -> dict[str, object]:
    return {
        "sample": one.sample,
        "pages": list(one.pages),
        "median": one.median,
        "spread": one.spread,
        "unit": one.unit,
    }
