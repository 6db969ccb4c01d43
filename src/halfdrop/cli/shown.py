"""How answers and findings are shown on a terminal, the same way for every command.

What was asked for goes to standard output; what was noticed goes to standard error, so that a pipe carries
only the answer. Only this module prints.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Iterator, Sequence
from typing import TextIO

from halfdrop.core.findings import Finding, Severity
from halfdrop.usecases.answer import Answer, exit_status, finding_as_data

# Said before each finding, the weightiest first. Words, not colours: they survive a file and a photocopy.
HEADINGS = {
    Severity.REFUSED: "Cannot be used",
    Severity.ATTENTION: "Please look",
    Severity.NOTE: "Note",
}
WIDEST = 100
_BLANKS = "\n\t\u00a0\u2009\u202f"  # harmless white space, thin and non-breaking included
NARROWEST = 40


def answer(result: Answer, lines: Iterable[str], *, as_json: bool) -> int:
    """Print an answer and what was noticed; return the exit status.

    Args:
        result: what the use-case handed back.
        lines: the answer in words, for people.
        as_json: print the answer as data instead.
    """
    # All of it is worked out before any of it is printed: a fault half-way leaves no half of an answer.
    say([_as_text(result.to_json())] if as_json else list(lines))
    say(in_words(result.findings), stream=sys.stderr)
    return exit_status(result.findings)


def refusal(findings: Sequence[Finding], *, as_json: bool) -> int:
    """Print why an input cannot be used, all reasons at once; return the exit status."""
    if as_json:
        say([_as_text({"findings": [finding_as_data(finding) for finding in findings]})])
    say(in_words(findings), stream=sys.stderr)
    return exit_status(findings)


def in_words(findings: Iterable[Finding]) -> Iterator[str]:
    """Yield findings as lines: weightiest first, otherwise in the order met, each with its place."""
    order = list(HEADINGS)
    width = _width()
    for finding in sorted(findings, key=lambda found: order.index(found.severity)):
        place = str(finding.place)
        yield HEADINGS[finding.severity] + (f": {place}" if place else "")
        yield from _wrapped(finding.message, width)


def say(lines: Iterable[str], stream: TextIO | None = None) -> None:
    """Write lines to a stream (standard output when not given) and see that they have left.

    A reader that stops listening, as ``head`` does, is no fault: the rest is let go in silence.
    """
    stream = sys.stdout if stream is None else stream
    try:
        for line in lines:
            stream.write(_harmless(line) + "\n")
        stream.flush()
    except BrokenPipeError:
        let_go(stream)


def let_go(stream: TextIO) -> None:
    """Point a stream whose reader has gone, or that cannot be written, at nothing.

    Otherwise the interpreter tries once more to empty it at the very end, and complains.
    """
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def _as_text(data: dict[str, object]) -> str:
    import json

    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def _width() -> int:
    columns = shutil.get_terminal_size((WIDEST, 24)).columns
    return max(NARROWEST, min(WIDEST, columns))


def _wrapped(message: str, width: int) -> Iterator[str]:
    import textwrap

    for paragraph in message.splitlines():
        yield from textwrap.wrap(
            paragraph, width, initial_indent="    ", subsequent_indent="    ", break_on_hyphens=False
        )


def _harmless(line: str) -> str:
    """Return the line with control characters written out, so that no file can steer the terminal."""
    return "".join(
        c if c.isprintable() or c in _BLANKS else c.encode("unicode_escape").decode() for c in line
    )
