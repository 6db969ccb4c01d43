"""Whatever stands in a class file: an answer, or a refusal with its place; never a fault of the program."""

from __future__ import annotations

import json
import tempfile
from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.findings import Refused
from halfdrop.usecases.day import day
from halfdrop.usecases.makeup import makeup
from tests.usecases.class_files import WHOLE

LINES = WHOLE.splitlines()
KEYED = [k for k, line in enumerate(LINES) if " = " in line]
VALUES = st.one_of(
    st.sampled_from(
        ["-1", "0", "1e-9", "1e9", '""', '"0,1"', '"1.2.3"', "true", "[]", "[1]", "{}", '"x"', "nan", "inf",
         "2026-01-01", '"25 mL"', "1e308", '"-0.1"', "123456789012345678901234567890"]
    ),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.text(max_size=8).map(json.dumps),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(KEYED), VALUES), min_size=1, max_size=3))
def test_other_values(changes: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for k, value in changes:
        lines[k] = f"{lines[k].split(' = ')[0]} = {value}"
    _answered_or_refused("\n".join(lines))


@settings(max_examples=80, deadline=None)
@given(st.sets(st.sampled_from(range(len(LINES))), max_size=6))
def test_lines_left_out(left_out: set[int]) -> None:
    _answered_or_refused("\n".join(line for k, line in enumerate(LINES) if k not in left_out))


def _answered_or_refused(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "class.toml"
        file.write_text(text, encoding="utf-8", errors="surrogatepass")
        for question in (makeup, day):
            # a refusal carries its findings; anything else that is raised is a fault
            with suppress(Refused):
                json.dumps(question(file).to_json(), allow_nan=False)
