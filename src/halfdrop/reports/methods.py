"""Methods in words, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from halfdrop.core.chemistry.hazards import statement
from halfdrop.core.titration.method import Method, Quantity, Series
from halfdrop.files.methods import shipped_blocks
from halfdrop.reports.maths import text
from halfdrop.reports.symbols import symbol
from halfdrop.usecases.methods import MethodList, MethodSeen

WIDTH = 88


def list_lines(answer: MethodList) -> Iterator[str]:
    """Yield the methods by kind: name, title and who may do it."""
    kinds = dict.fromkeys(method.kind for method in answer.methods)
    for kind in kinds:
        yield kind
        for method in answer.methods:
            if method.kind == kind:
                yield f"  {method.name:<28} {method.title}"
                if method.safety.level != "any class":
                    yield f"  {'':<28} {method.safety.level} only"
        yield ""
    yield "halfdrop method show NAME tells what one needs; halfdrop start NAME FILE begins a determination."


def method_lines(answer: MethodSeen) -> Iterator[str]:
    """Yield what a method says, in the order of the work."""
    method = answer.method
    yield method.title
    yield from _wrapped(method.about)
    yield ""
    yield from _titled("Chemistry", method.equations.values())
    yield from _titled("Conditions", method.conditions)
    yield from _titled("Indicator", (_indicator(one) for one in method.indicators))
    yield from _titled("What to give", (_quantity(one) for one in method.quantities.values()))
    yield from _titled("Trials", (_trials(one) for one in method.series.values()))
    yield from _titled("Result", _results(method))
    yield from _titled("What to expect", _expected(method))
    yield from _titled("Cautions", _cautions(method))
    yield from _titled("Working", _working(method))
    yield from _titled("Sources", method.sources)


def _titled(title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield title
        for line in found:
            yield from _wrapped(line, "  ", "    ")
        yield ""


def _wrapped(text: str, first: str = "", later: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)


def _trials(one: Series) -> str:
    return f"{one.name}: {one.says}; readings {', '.join(one.readings)}"


def _indicator(one: object) -> str:
    name, before, after = (getattr(one, part) for part in ("name", "before", "after"))
    rest = "; ".join(text for text in (getattr(one, "amount", ""), getattr(one, "note", "")) if text)
    return f"{name}: from {before} to {after}" + (f" ({rest})" if rest else "")


def _quantity(one: Quantity) -> str:
    each = ", one for each trial" if one.per_trial else ""
    if one.value:
        need = f"; taken as {one.value} ± {one.limits} {one.unit} when not given"
    else:
        need = ", if there is one" if one.optional else ""
    return f"{one.name}: {one.says}, in {one.unit}{each}{need}"


def _working(method: Method) -> Iterator[str]:
    """Yield the entries of the working, in order: what each works out, from what, and when it is there."""
    for entry in method.working:
        given = {key: str(value) for key, value in entry.items()}
        block = given.get("block", "")
        if block == "average":
            says = "the mean over the trials"
        elif block:
            says = shipped_blocks()[block].says
        else:
            says = f"{given.get('says') or given['line']}: {given['formula']}"
        terms = [f"{key} {value}" for key, value in given.items() if key not in _NOT_TERMS]
        yield says + (f" ({', '.join(terms)})" if terms and block else "") + _condition(given)


_NOT_TERMS = ("block", "tag", "as", "when", "unless", "mean", "end", "only")


def _condition(given: dict[str, str]) -> str:
    """Return when an entry is there, as the method says it."""
    said = [f"{word}: {given[word]}" for word in ("when", "unless") if given.get(word)]
    return f"; {', '.join(said)}" if said else ""


def _results(method: Method) -> Iterator[str]:
    """Yield every result, the one that has the budget last."""
    named = [(one.symbol, one.says) for one in method.results]
    for sign, says in named or [(method.result_symbol, method.result_says)]:
        yield f"{text(symbol(sign))}: {says}"


def _expected(method: Method) -> Iterator[str]:
    low, high = method.titre_ml
    yield f"a titre of {low} to {high} mL"
    limit = method.agreement
    yield f"{limit.wanted} trials within {limit.limit_ml} mL, rule {limit.rule} ({limit.source})"
    source = method.repeatability_source
    yield f"a standard deviation of {method.repeatability_ml} mL for one titre ({source})"
    if method.keeps_days:
        yield f"a titrant that is trusted for {method.keeps_days} days ({method.keeps_source})"


def _cautions(method: Method) -> Iterator[str]:
    safety = method.safety
    yield "Local rules, the supplier's safety data sheet and licensed practice come first."
    yield f"who: {safety.level}. Hood: {safety.hood}"
    yield f"protection: {safety.protection}"
    for what, codes in safety.hazards:
        yield f"{what}: " + " ".join(f"{code} {statement(code).text}" for code in codes)
    yield f"spill: {safety.spill}"
    yield f"eyes: {safety.eyes}"
    yield f"waste: {safety.waste}"
    yield f"never together: {safety.never_mix}"
    yield f"instead: {safety.substitute}"
    if safety.note:
        yield safety.note
