"""Many reports set as PDF at once, on as many processors as there are.

One process sets each page a little more slowly than the one before, because the compiler keeps what it has
seen; a few workers with a few reports each stay quick.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence

from halfdrop.reports.content import Report

MANY = 24
"""Reports from which it pays to start workers."""
_AT_A_TIME = 10


def pdfs(reports: Sequence[Report], paper: str) -> Iterator[bytes]:
    """Yield each report as a PDF, in order; the bytes do not depend on how they were shared out.

    Args:
        reports: what they say.
        paper: name of a size as typst has it.
    """
    workers = min(os.cpu_count() or 1, 8)
    if len(reports) < MANY or workers < 2:
        yield from _some(list(reports), paper)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    parts = [list(reports[k : k + _AT_A_TIME]) for k in range(0, len(reports), _AT_A_TIME)]
    # fresh interpreters: a fork would copy the threads of numpy and of the compiler in mid-work
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for part in pool.map(_some, parts, [paper] * len(parts)):
            yield from part


def _some(reports: list[Report], paper: str) -> list[bytes]:
    from halfdrop.reports.pdf import pdf  # here, because the compiler takes time to load

    return [pdf(report, paper) for report in reports]
