"""Checks on the single parts of a method: equations, names, entries of the working, hazards, symbols."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from difflib import get_close_matches

from halfdrop.core.chemistry.formula import FormulaError, parse_formula
from halfdrop.core.chemistry.hazards import UnknownStatement, statement
from halfdrop.core.chemistry.reaction import ReactionError, parse_reaction
from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.measure.units import UnitError, unit
from halfdrop.core.measure.working import ROLES
from halfdrop.core.titration import cases
from halfdrop.core.titration.blocks import Block
from halfdrop.core.titration.deliveries import FIRST, SECOND, deliveries
from halfdrop.core.titration.method import KINDS, Method
from halfdrop.core.titration.selection_rules import RULES
from halfdrop.core.titration.stoichiometry import NoRatio, stoichiometric_ratio

END_POINT = "end_point"
_NAME = re.compile(r"[A-Za-z]\w*")
_LONG_POWER = re.compile(r"\^\s*[0-9]{2,}")
_SYMBOL = re.compile(r"[A-Za-z](?:[\w ,.'′*·+\-−^/=()\[\]])*")
_LINE_NEEDS = ("symbol", "unit", "formula", "role")


def refusal(code: str, message: str, field: str, given: object = None, accepted: object = None) -> Finding:
    """Return a finding that refuses a method, with what was given and what is accepted as evidence."""
    evidence = {
        name: value for name, value in (("given", given), ("accepted", accepted)) if value is not None
    }
    return Finding(code, Severity.REFUSED, message, Place(field=field), evidence)


def one_of(given: str, known: Collection[str]) -> str:
    """Return the end of a sentence that says what is accepted, the nearest first."""
    near = get_close_matches(given, known, 1, 0.6)
    meant = f"Did you mean '{near[0]}'? " if near else ""
    return f"{meant}Known: {', '.join(known) or 'none'}."


def check_equations(method: Method) -> Iterator[Finding]:
    """Find equations that cannot be read or do not balance, and intermediates that are no formulas."""
    for name, text in method.equations.items():
        try:
            parse_reaction(text)
        except ReactionError as error:
            yield refusal("equation", " ".join(error.problems), f"equations, {name}", text)
    for text in method.through:
        try:
            parse_formula(text)
        except FormulaError as error:
            yield refusal("formula-not-read", str(error), "through", text)


def check_quantities(method: Method) -> Iterator[Finding]:
    """Find quantities whose name, kind, unit, role or substance cannot be used."""
    for name, one in method.quantities.items():
        field = f"quantity {name}"
        yield from _name_complaints(name, field)
        if one.kind not in KINDS:
            message = f"'{one.kind}' is not a kind of quantity. {one_of(one.kind, KINDS)}"
            yield refusal("quantity-kind", message, field, one.kind, list(KINDS))
        if one.role and one.role not in ROLES:
            yield refusal(
                "role", f"'{one.role}' is not a role. {one_of(one.role, ROLES)}", field, one.role, ROLES
            )
        yield from _unit_complaints(one.unit, field)
        if one.species:
            try:
                parse_formula(one.species)
            except FormulaError as error:
                yield refusal("formula-not-read", str(error), field, one.species)


def check_series(method: Method) -> Iterator[Finding]:
    """Find series and readings whose names cannot be used, and a rule of agreement that is not known."""
    for name, one in method.series.items():
        field = f"series {name}"
        yield from _name_complaints(name, field)
        for reading in one.readings:
            yield from _name_complaints(reading, f"{field}, readings")
        if len(one.readings) < 2 or len(set(one.readings)) < len(one.readings):
            message = "A series has at least two readings, each named once: initial and final."
            yield refusal("series-readings", message, f"{field}, readings", list(one.readings))
    if method.agreement.rule not in RULES:
        given = method.agreement.rule
        message = f"'{given}' is not a rule for choosing trials. {one_of(given, RULES)}"
        yield refusal("rule-unknown", message, "agreement, rule", given, list(RULES))


def check_cases(method: Method) -> Iterator[Finding]:
    """Find a rule for telling mixtures that is not known."""
    rule = method.cases.rule if method.cases else ""
    if rule and rule not in cases.RULES:
        message = f"'{rule}' is not a rule for telling mixtures. {one_of(rule, cases.RULES)}"
        yield refusal("rule-unknown", message, "cases", rule, list(cases.RULES))


def _name_complaints(name: str, field: str) -> Iterator[Finding]:
    if not _NAME.fullmatch(name):
        message = f"'{name}' cannot be a name: a name is a letter, then letters, digits and underscores."
        yield refusal("name", message, field, name)


def _unit_complaints(text: str, field: str) -> Iterator[Finding]:
    try:
        unit(text)
    except UnitError as error:
        yield refusal("unit-unknown", f"{error}.", field, text)


def check_hazards(method: Method) -> Iterator[Finding]:
    """Find hazard and precautionary codes without a statement."""
    for what, codes in method.safety.hazards:
        for code in codes:
            try:
                statement(code)
            except UnknownStatement as error:
                yield refusal("hazard-unknown", str(error), f"safety, {what}", code)


def check_symbols(method: Method) -> Iterator[Finding]:
    """Find symbols that cannot be set on a page."""
    symbols = {f"quantity {name}": one.symbol for name, one in method.quantities.items()}
    symbols["result"] = method.result_symbol
    for number, entry in enumerate(method.working, 1):
        if "line" in entry and "symbol" in entry:
            symbols[f"working, entry {number}"] = str(entry["symbol"])
    for field, text in symbols.items():
        plain = re.sub(r"\{[^{}]*\}", "", text)  # slots are filled in with symbols checked where they stand
        if not _SYMBOL.fullmatch(plain) or not _brackets_close(plain) or re.search(r"_(?![(\w])", plain):
            message = (
                f"'{text}' cannot be set as a symbol. A symbol is a letter or a Greek name, with what stands "
                "below it in brackets after an underscore: T, gamma_(CH3COOH), bar(T), Delta t."
            )
            yield refusal("symbol", message, field, text)


def _brackets_close(text: str) -> bool:
    waiting: list[str] = []
    for mark in text:
        if mark in "([":
            waiting.append({"(": ")", "[": "]"}[mark])
        elif mark in ")]" and (not waiting or waiting.pop() != mark):
            return False
    return not waiting


def check_entries(method: Method, blocks: Mapping[str, Block]) -> Iterator[Finding]:
    """Find entries of the working that are no block and no line, and names in them that are not known."""
    if not method.working:
        yield refusal(
            "working-empty", "The working has no entry. Add [[working]] with a block or a line.", "working"
        )
    names = set(_conditions(method))
    for number, entry in enumerate(method.working, 1):
        field = f"working, entry {number}"
        if ("block" in entry) == ("line" in entry):
            message = (
                "An entry of the working is either a block or a line of its own: write block = or line =."
            )
            yield refusal("working-entry", message, field, dict(entry))
            continue
        for key in ("when", "unless"):
            for given in str(entry.get(key, END_POINT)).split(" and "):
                if given not in names:
                    message = (
                        f"{key} = '{given}' names nothing that can be given. {one_of(given, sorted(names))}"
                    )
                    yield refusal("working-condition", message, field, given, sorted(names))
        if "block" in entry and str(entry["block"]) not in (*blocks, "average"):
            message = f"There is no block '{entry['block']}'. {one_of(str(entry['block']), sorted(blocks))}"
            yield refusal("block-unknown", message, field, entry["block"], sorted(blocks))
        if "line" in entry:
            yield from _line_complaints(method, {k: str(v) for k, v in entry.items()}, field)
    yield from _delivery_complaints(method, blocks)


def _conditions(method: Method) -> Iterator[str]:
    """Yield what ``when`` and ``unless`` may name."""
    yield END_POINT
    for case in method.cases.by_name if method.cases else ():
        yield from method.cases.given(case) if method.cases else ()
    for name in method.quantities:
        yield from (name, f"{name} by difference")
    for name, series in method.series.items():
        yield f"{name} trials"
        yield from series.readings


def _line_complaints(method: Method, entry: Mapping[str, str], field: str) -> Iterator[Finding]:
    missing = [key for key in _LINE_NEEDS if not entry.get(key)]
    if missing:
        yield refusal("line-incomplete", f"A line needs {', '.join(missing)} as well.", field)
        return
    name = re.sub(r"\{[^{}]*\}", "", entry["line"])
    if not _NAME.fullmatch(name) or name in method.quantities:
        message = (
            f"'{entry['line']}' cannot be the name of a line: it is a letter, then letters, digits and "
            "underscores, and not the name of a quantity."
        )
        yield refusal("line-name", message, field, entry["line"])
    if _LONG_POWER.search(entry["formula"]):
        yield refusal("formula-power", "A power in a formula has one digit.", field, entry["formula"])
    if entry["role"] not in ROLES:
        yield refusal(
            "role", f"'{entry['role']}' is not a role. {one_of(entry['role'], ROLES)}", field, entry["role"]
        )
    yield from _unit_complaints(re.sub(r"\{[^{}]*\}", "", entry["unit"]), field)


def _delivery_complaints(method: Method, blocks: Mapping[str, Block]) -> Iterator[Finding]:
    """Find titres of series and readings that do not exist, and readings that no titre uses."""
    used: dict[str, set[str]] = {name: set() for name in method.series}
    for one in deliveries(method, blocks):
        field = f"working, entry {one.entry}"
        if one.series not in method.series:
            message = f"There is no series '{one.series}'. {one_of(one.series, method.series)}"
            yield refusal("series-unknown", message, field, one.series, list(method.series))
            continue
        readings = method.series[one.series].readings
        for name in (one.start, one.end):
            used[one.series].add(name)
            if name not in readings:
                message = (
                    f"Trials of the series {one.series} have no reading '{name}'. {one_of(name, readings)}"
                )
                yield refusal("reading-unknown", message, field, name, list(readings))
        if one.burette not in (FIRST, SECOND):
            message = f"'{one.burette}' is no burette. Known: {FIRST}, {SECOND}."
            yield refusal("burette-unknown", message, field, one.burette, [FIRST, SECOND])
    for name, series in method.series.items():
        if idle := [reading for reading in series.readings if reading not in used[name]]:
            message = (
                f"No titre of the working uses: {', '.join(idle)}. Use them in a titre block, or do not "
                "ask for them."
            )
            yield refusal("reading-unused", message, f"series {name}", idle)


def check_ratios(method: Method) -> Iterator[Finding]:
    """Find ratios that the equations do not give; equations that do not balance are found elsewhere."""
    for number, entry in enumerate(method.working, 1):
        if entry.get("block") != "ratio" or not {"from", "to", "by"} <= set(entry):
            continue
        source, target, by = (str(entry[key]) for key in ("from", "to", "by"))
        field = f"working, entry {number}"
        if source.split() != [source] or target.split() != [target]:
            message = (
                f"'{source}' and '{target}': write the formulas of a ratio without spaces, such as S2O3^2-."
            )
            yield refusal("formula-spaces", message, field, [source, target])
            continue
        try:
            stoichiometric_ratio(method, source, target, by)
        except NoRatio as error:
            balance = {finding.message for finding in check_equations(method)}
            for reason in error.reasons:
                if not any(reason in seen for seen in balance):
                    yield refusal("no-ratio", reason, field, {"from": source, "to": target, "by": by})
