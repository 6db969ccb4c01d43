"""Pages of readings for the tests of reports, with invented numbers; a calculator for printed lines."""

from __future__ import annotations

import ast
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from halfdrop.usecases.result import Asked, ResultAnswer, result

HYDROXIDE = """\
method = "naoh-khp"
sample = "hydroxide N-2"
date = 2026-09-12
[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
limit_mL = "0.05"
[room]
temperature_degC = "21.0"
u_degC = "0.5"
[balance]
u_mg = "0.1"
[[trial]]
rough = true
mass = "0.5105"
initial = "0.05"
final = "25.40"
[[trial]]
mass = "0.5040"
initial = "0.10"
final = "24.85"
[[trial]]
mass = "0.5120"
initial = "0.30"
final = "25.45"
[[trial]]
mass = "0.5035"
initial = "0.12"
final = "24.86"
"""

VINEGAR = """\
method = "vinegar"
sample = "wine vinegar, bottle 3"
analyst = "R. Osei"
date = 2026-09-14
bottle = "N-2"
[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
class = "A"
limit_mL = "0.05"
[room]
temperature_degC = "23.5"
u_degC = "0.5"
correct_to_20 = true
[titrant]
file = "hydroxide.toml"
[aliquot]
value = "25.00"
unit = "mL"
limits = "0.03"
[stock]
value = "25.00"
unit = "mL"
limits = "0.03"
[flask]
value = "250"
unit = "mL"
limits = "0.15"
[[trial]]
rough = true
initial = "0.00"
final = "21.05"
[[trial]]
initial = "0.10"
final = "20.78"
read_by = "R. Osei"
tap_by = "L. Brandt"
[[trial]]
initial = "30.10"
final = "0.89"
refill = [{ before = "49.90", after = "0.05" }]
[[trial]]
initial = "0.15"
final = "20.80"
[[trial]]
left_out = "a drop fell beside the flask"
by = "R. Osei"
at = "11:42"
initial = "0.15"
final = "21.60"
[[trial]]
abandoned = "jet was not filled"
initial = "0.00"
[[trial]]
series = "blank"
initial = "20.80"
final = "20.85"
"""


def answer_to(
    page: str, *, hydroxide: str = HYDROXIDE, choices: bool = False, monte_carlo: int = 0
) -> ResultAnswer:
    """Return the result of a page, which may rest on ``hydroxide.toml``."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "hydroxide.toml").write_text(hydroxide, encoding="utf-8")
        (Path(folder) / "page.toml").write_text(page, encoding="utf-8")
        return result(Path(folder) / "page.toml", Asked(choices, monte_carlo))


@cache
def vinegar() -> ResultAnswer:
    """Return a chain with all there can be: refill, blank, temperature, choices, Monte Carlo."""
    return answer_to(VINEGAR, choices=True, monte_carlo=1)


@cache
def hydroxide() -> ResultAnswer:
    """Return a standardisation by masses of each trial's own."""
    return answer_to(HYDROXIDE)


def retyped(line: str) -> Fraction:
    """Return what a calculator makes of a printed line, exactly.

    >>> retyped("(19.57 + 19.60) / 2 × (−0.5)")
    Fraction(-3917, 400)
    """
    plain = line.replace("×", "*").replace("−", "-").replace("·", "*")
    return _worked(ast.parse(plain, mode="eval").body, plain)


def _worked(node: ast.expr, text: str) -> Fraction:
    if isinstance(node, ast.Constant):
        return Fraction(text[node.col_offset : node.end_col_offset])
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return -_worked(node.operand, text)
    if not isinstance(node, ast.BinOp):
        raise TypeError(f"{ast.dump(node)} is on no calculator")
    left, right = _worked(node.left, text), _worked(node.right, text)
    if isinstance(node.op, ast.Add | ast.Sub):
        return left + right if isinstance(node.op, ast.Add) else left - right
    return left * right if isinstance(node.op, ast.Mult) else left / right
