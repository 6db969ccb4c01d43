"""Programs: lines written once, split by what changes, run in memory that is used again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.measure.program import Function, Program, cut, magnitude, root, total

FUNCTIONS: list[Function] = [np.add, np.subtract, np.multiply, total, magnitude]
SIZE, TRIALS = 5, 3


@st.composite
def programs(draw: st.DrawFn) -> tuple[Program, list[int], list[int]]:
    """Lines over numbers, columns and arrays that change; the places that change; places that are kept."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32)))
    program = Program()
    for shape in draw(st.lists(st.sampled_from([(), (TRIALS, 1)]), min_size=1, max_size=3)):
        program.hold(rng.normal(size=shape) if shape else float(rng.normal()))
    shapes = draw(st.lists(st.sampled_from([(SIZE,), (TRIALS, SIZE)]), min_size=1, max_size=3))
    moving = [program.hold(rng.normal(size=shape)) for shape in shapes]
    depths = [np.ndim(one) == 2 for one in program.held]
    for _ in range(draw(st.integers(1, 12))):
        left, right = (draw(st.integers(0, len(depths) - 1)) for _ in range(2))
        function = draw(st.sampled_from([f for f in FUNCTIONS if f is not total or depths[left]]))
        right = left if function in (total, magnitude) else right
        place = program.line(function, left, right)
        if place == len(depths):
            depths.append(function is not total and (depths[left] or depths[right]))
    keep = draw(st.lists(st.integers(0, len(depths) - 1), min_size=1, max_size=3))
    return program, moving, keep


@given(programs())
def test_memory_used_again_changes_no_result(case: tuple[Program, list[int], list[int]]) -> None:
    program, moving, keep = case
    wanted = program.run(program.held)

    fixed, rest = program.split(moving)
    held = fixed.run(program.held)
    memory = rest.layout(held, keep).memory(SIZE)

    for _ in range(2):
        done = rest.run(held, memory)
        for place in keep:
            np.testing.assert_array_equal(done[place], wanted[place])


@given(programs(), st.integers(1, SIZE))
def test_a_shorter_last_block_fits_the_same_memory(
    case: tuple[Program, list[int], list[int]], size: int
) -> None:
    program, moving, keep = case
    fixed, rest = program.split(moving)
    held = fixed.run(program.held)
    short = [one[..., :size] if place in moving else one for place, one in enumerate(held)]

    done = rest.run(short, cut(rest.layout(held, keep).memory(SIZE), size))

    for place in keep:
        np.testing.assert_array_equal(done[place], rest.run(short)[place])


def test_what_is_not_needed_any_more_is_written_over() -> None:
    program = Program()
    place = start = program.hold(np.ones(SIZE))
    for _ in range(10):
        place = program.line(np.add, place, place)

    layout = program.layout(program.held, [place])

    assert len(layout.depths) == 1
    assert program.run(program.held, layout.memory(SIZE))[place] == pytest.approx(np.full(SIZE, 1024.0))
    assert program.held[start] == pytest.approx(np.ones(SIZE))


def test_the_same_line_is_written_once() -> None:
    program = Program()
    a, b = program.hold(1.0), program.hold(2.0)

    assert program.line(np.add, a, b) == program.line(np.add, a, b)
    assert len(program.lines) == 1


def test_a_copy_grows_alone() -> None:
    program = Program()
    a = program.hold(4.0)
    other = program.copy()

    place = other.line(root, a, a)

    assert not program.lines
    assert other.run(other.held)[place] == 2.0
