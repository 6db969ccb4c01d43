"""A working: the calculation of one result, written down once, as an ordered graph of named steps.

Result, uncertainty budget, Monte Carlo, printed page, answer sheet, marking and slips all read this one
description. A working holds no numbers: those come beside it as estimates, for one analyst or for a class.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from halfdrop.core.measure.expression import Expression, Operation, Symbol, power_of, renamed, symbols
from halfdrop.core.measure.units import ONE, Unit, UnitError, unit

# What an input is, or what a line does. Slips and faults are written against these, never against names.
ROLES = (
    "reading", "titre", "scale", "temperature", "repeatability", "end point", "mean", "blank", "unit change",
    "titrant", "amount", "ratio", "concentration", "aliquot", "dilution", "mass", "purity", "molar mass",
    "density", "fraction", "difference", "factor", "constant",
)  # fmt: skip

# A line may use symbols of at most one of these roles, and then has that role itself: a line that, say, both
# divides by the aliquot and multiplies by the ratio would hide one slip behind another.
OPERATIVE = frozenset({"ratio", "aliquot", "dilution", "purity", "molar mass", "density"})
# Lines of these roles leave a quantity what it was: an aliquot in litres or at 20 degC is still the aliquot.
PASSING = frozenset({"unit change", "mean", "scale", "temperature", "repeatability", "constant"})

CLASS, ANALYST = "class", "analyst"
SHARED = (CLASS, ANALYST)


class WorkingError(ValueError):
    """A working that contradicts itself; carries every complaint."""

    def __init__(self, complaints: list[str]) -> None:
        self.complaints = tuple(complaints)
        super().__init__("; ".join(complaints))


@dataclass(frozen=True)
class Input:
    """Something read, weighed, certified or looked up.

    Attributes:
        name: as used in formulas.
        symbol: how it is set on the page: ``V_f``, ``Delta t``, ``bar(T)``.
        unit: text of the unit.
        role: one of :data:`ROLES`.
        scope: who shares it: ``class``, ``analyst``, or the name of a series of trials.
        group: heading in the uncertainty budget.
        says: what it is, in words.
    """

    name: str
    symbol: str
    unit: str
    role: str
    scope: str = ANALYST
    group: str = ""
    says: str = ""


@dataclass(frozen=True)
class Step:
    """One line of the working: ``symbol = formula``, in a unit.

    Attributes:
        name: as used in later formulas.
        symbol: how it is set on the page.
        unit: text of the unit; the formula is checked against it.
        formula: over inputs and earlier steps.
        role: what the line does, one of :data:`ROLES`.
        says: the line in words.
        ways: other right formulas for the same quantity; the first is evaluated, any is right.
    """

    name: str
    symbol: str
    unit: str
    formula: Expression
    role: str
    says: str = ""
    ways: tuple[Expression, ...] = ()


@dataclass(frozen=True)
class Working:
    """Inputs and steps in the order a chemist would write them; the last step is the result.

    Raises:
        WorkingError: on creation, with every complaint: unknown symbols, units that do not fit, trials of two
            series mixed, a line that mixes two roles.
    """

    inputs: Mapping[str, Input]
    steps: Mapping[str, Step]
    scopes: Mapping[str, str] = field(init=False, compare=False)

    def __post_init__(self) -> None:
        complaints: list[str] = []
        object.__setattr__(self, "scopes", {})
        for one in self.inputs.values():
            complaints += _input_complaints(one)
            self.scopes[one.name] = one.scope  # type: ignore[index]
        for step in self.steps.values():
            complaints += self._step_complaints(step)
        if not self.steps:
            complaints.append("a working needs at least one step")
        if complaints:
            raise WorkingError(complaints)

    @property
    def result(self) -> Step:
        """The last step."""
        return list(self.steps.values())[-1]

    @property
    def series(self) -> tuple[str, ...]:
        """Names of the series of trials, in order of appearance."""
        return tuple(dict.fromkeys(s for s in self.scopes.values() if s not in (CLASS, ANALYST)))

    def named(self, name: str) -> Input | Step:
        """Return the input or step called ``name``."""
        return self.steps[name] if name in self.steps else self.inputs[name]

    def edited(self, name: str, formula: Expression) -> Working:
        """Return the working with another formula on one line; this is how a slip is written."""
        return replace(self, steps={**self.steps, name: replace(self.steps[name], formula=formula)})

    def up_to(self, name: str) -> Working:
        """Return the working that ends with the line ``name``, with only what that line needs."""
        needed, todo = set(), [name]
        while todo:
            here = todo.pop()
            if here in needed:
                continue
            needed.add(here)
            if here in self.steps:
                todo += symbols(self.steps[here].formula)
        inputs = {k: v for k, v in self.inputs.items() if k in needed}
        steps = {k: v for k, v in self.steps.items() if k in needed and k != name}
        return Working(inputs, {**steps, name: self.steps[name]})

    def _step_complaints(self, step: Step) -> Iterator[str]:
        self.scopes[step.name] = ANALYST  # type: ignore[index]
        if step.role not in ROLES:
            yield f"{step.name}: '{step.role}' is not a role; known are {', '.join(ROLES)}"
        if step.name in self.inputs:
            yield f"{step.name}: the name is both an input and a step"
        used = [name for formula in (step.formula, *step.ways) for name in symbols(formula)]
        unknown = [name for name in used if name not in self.scopes or name == step.name]
        if unknown:
            yield f"{step.name}: {', '.join(unknown)} not known before this line"
            return
        yield from self._role_complaints(step, used)
        try:
            scopes = {self._scope(step.name, formula) for formula in (step.formula, *step.ways)}
            for formula in (step.formula, *step.ways):
                self._check_units(step, formula)
        except (WorkingError, UnitError) as error:
            yield str(error)
            return
        if len(scopes) > 1:
            yield f"{step.name}: its ways do not agree on whose quantity it is"
        self.scopes[step.name] = scopes.pop()  # type: ignore[index]

    def carries(self, name: str) -> set[str]:
        """Return the operative roles that a symbol brings into a line that uses it."""
        if name in self.inputs:
            return {self.inputs[name].role} & OPERATIVE
        parts = [self.carries(used) for used in symbols(self.steps[name].formula)]
        if self.steps[name].role in PASSING:
            return set().union(*parts)
        return parts[0] if parts and all(part == parts[0] for part in parts) else set()

    def _role_complaints(self, step: Step, used: list[str]) -> Iterator[str]:
        roles = set().union(*(self.carries(name) for name in used))
        if len(roles) > 1 or (roles and step.role not in roles | PASSING):
            mixed = ", ".join(sorted(roles | {step.role}))
            yield f"{step.name}: one line mixes the roles {mixed}; write a line for each"

    def _scope(self, where: str, formula: Expression) -> str:
        if isinstance(formula, Symbol):
            return self.scopes[formula.name]
        if not isinstance(formula, Operation):
            return CLASS
        inner = {self._scope(where, arg) for arg in formula.args}
        series = inner - {CLASS, ANALYST}
        if formula.op in ("mean", "sum"):
            if not series:
                raise WorkingError([f"{where}: {formula.op}() needs something that differs by trial"])
            return ANALYST
        if len(series) > 1:
            raise WorkingError(
                [f"{where}: trials of {' and '.join(sorted(series))} are mixed without a mean"]
            )
        return series.pop() if series else ANALYST if ANALYST in inner else CLASS

    def _check_units(self, step: Step, formula: Expression) -> None:
        wanted = unit(step.unit)
        if isinstance(formula, Operation) and formula.op == "convert":
            if step.role != "unit change":
                raise UnitError(
                    f"{step.name}: a change of unit is a line of its own, with the role 'unit change'"
                )
            self.unit_of(formula.args[0], step.name).factor_to(wanted)
            return
        found = self.unit_of(formula, step.name)
        if not found.same(wanted):
            raise UnitError(f"{step.name}: the formula gives {found.text}, the line says {step.unit}")

    def unit_of(self, formula: Expression, where: str = "") -> Unit:
        """Return the unit that a formula comes out in.

        Raises:
            UnitError: when a sum or difference mixes units, or a change of unit stands inside a formula.
        """
        if isinstance(formula, Symbol):
            return unit(self.named(formula.name).unit)
        if not isinstance(formula, Operation):
            return ONE
        if formula.op == "convert":
            raise UnitError(f"{where}: convert() stands alone on its line")
        parts = [self.unit_of(arg, where) for arg in formula.args]
        if formula.op in ("mean", "sum"):
            return parts[0]
        if formula.op == "^":
            return parts[0] ** power_of(formula)
        if formula.op == "*":
            return parts[0] * parts[1]
        if formula.op == "/":
            return parts[0] / parts[1]
        if not parts[0].same(parts[1]):
            raise UnitError(
                f"{where}: {parts[0].text} {formula.op} {parts[1].text} cannot be added or subtracted"
            )
        return parts[0]

    def conversion(self, step: Step) -> Fraction:
        """Return the factor of a line that changes the unit."""
        if not isinstance(step.formula, Operation) or step.formula.op != "convert":
            raise ValueError(f"{step.name} does not change a unit")
        return self.unit_of(step.formula.args[0], step.name).factor_to(unit(step.unit))


def _input_complaints(one: Input) -> Iterator[str]:
    if one.role not in ROLES:
        yield f"{one.name}: '{one.role}' is not a role; known are {', '.join(ROLES)}"
    try:
        unit(one.unit)
    except UnitError as error:
        yield f"{one.name}: {error}"


def chained(child: Working, prefix: str, parent: Working, link: str) -> Working:
    """Return one working in which the parent's input ``link`` is the child's result.

    Names and series of the child get the prefix (``titrant.T``). Nothing is decided here about which inputs
    are the same: that is the business of their keys.
    """
    names = {name: f"{prefix}.{name}" for name in (*child.inputs, *child.steps)}
    series = {name: f"{prefix}.{name}" for name in child.series}
    inputs = {
        names[k]: replace(v, name=names[k], scope=series.get(v.scope, v.scope))
        for k, v in child.inputs.items()
    }
    inputs |= {k: v for k, v in parent.inputs.items() if k != link}
    steps = {names[k]: _renamed(v, names) for k, v in child.steps.items()}
    steps |= {k: _renamed(v, {link: names[child.result.name]}) for k, v in parent.steps.items()}
    return Working(inputs, steps)


def merged(working: Working, same: Mapping[str, str]) -> Working:
    """Return a working in which some prefixes stand for the same determination as others.

    Args:
        working: joined by :func:`chained`.
        same: prefix -> the prefix under which the determination is kept; its lines are then there once.
    """
    names = {name: merged_name(name, same) for name in (*working.inputs, *working.steps)}
    inputs = {
        names[name]: replace(one, name=names[name], scope=merged_name(one.scope, same))
        for name, one in working.inputs.items()
    }
    steps: dict[str, Step] = {}
    for name, step in working.steps.items():
        steps.setdefault(names[name], _renamed(step, names))
    return Working(inputs, steps)


def merged_name(name: str, same: Mapping[str, str]) -> str:
    """Return a name or series with its prefix replaced by the one it is kept under; others as they are."""
    for old, kept in same.items():
        if name.startswith(f"{old}."):
            return f"{kept}.{name.removeprefix(f'{old}.')}"
    return name


def _renamed(step: Step, names: dict[str, str]) -> Step:
    return replace(
        step,
        name=names.get(step.name, step.name),
        formula=renamed(step.formula, names),
        ways=tuple(renamed(way, names) for way in step.ways),
    )
