"""A method as a system: its titration with usual amounts, written as the system file a person could write."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.chemistry.formula import Formula, parse_formula
from halfdrop.core.chemistry.reaction import ReactionError, parse_reaction
from halfdrop.core.findings import Finding, Place, Refused, Severity, refuse_if_any
from halfdrop.core.titration.method import Method
from halfdrop.files.methods import TITRANT, read_method
from halfdrop.files.toml_text import TomlText, parse_toml

USUAL_MOL_L, USUAL_FLASK_ML, USUAL_TITRE_ML = "0.1000", "25.00", 25.0
WATER_ML = 25.0  # rinsed into the flask beside an aliquot; common practice, no source
EDTA = parse_formula("C10H14N2O8^2-")
# A shipped method says its pH in words; hardness and zinc are done at 10.
EDTA_PH = "10.0"


def system_of_method(name: str) -> TomlText:
    """Return the system file of a method.

    Raises:
        Refused: when there is no such method, or its titration is no single reaction that the data know.
    """
    method, findings = read_method(name)
    if method is None:
        raise Refused(findings)
    text, found = parse_toml("\n".join(_lines(method)), f"the curve of {name}")
    refuse_if_any(found)
    if text is None:
        raise Refused(found)
    return text


def _lines(method: Method) -> Iterator[str]:
    flask, burette, ratio = _reactants(method)
    quantities = method.quantities
    strength = quantities[TITRANT].typical if TITRANT in quantities else ""
    aliquot = quantities["aliquot"].typical if "aliquot" in quantities else ""
    volume = float(aliquot or USUAL_FLASK_ML) + WATER_ML
    low, high = (float(text) for text in method.titre_ml)
    titre = (low + high) / 2 or USUAL_TITRE_ML
    amount = float(strength or USUAL_MOL_L) * titre * ratio / volume
    yield f'title = "{method.title}: usual amounts"'
    yield f'kind = "{method.kind}"'
    yield f'flask_mL = "{volume:.2f}"'
    yield from {
        "complexation": [f'pH = "{EDTA_PH}"'],
        "redox": ['constants = "openstax"', 'medium = "standard"', 'pH = "0"'],
    }.get(method.kind, [])
    yield "[flask]"
    yield f'"{flask}" = "{amount:.6g}"'
    yield "[burette]"
    yield f'"{burette}" = "{strength or USUAL_MOL_L}"'


def _reactants(method: Method) -> tuple[str, str, float]:
    """Return what is in the flask and in the burette, and moles of the first for one of the second."""
    titrant = method.quantities[TITRANT].species if TITRANT in method.quantities else method.analyte
    try:
        wanted = parse_formula(titrant)
        if method.kind == "redox":
            return _couples(method, wanted)
        for text in method.equations.values():
            net = parse_reaction(text).net
            taken = {substance: -float(amount) for substance, amount in net.items() if amount < 0}
            if wanted in taken and len(taken) == 2:
                other = next(one for one in taken if one != wanted)
                return _named(other), _named(wanted), taken[other] / taken[wanted]
    except (ValueError, ReactionError):
        pass
    raise Refused([_no_single_reaction(method)])


def _couples(method: Method, titrant: Formula) -> tuple[str, str, float]:
    """Return the two forms that meet, from half-reactions, and their ratio by electrons."""
    found: dict[bool, tuple[Formula, float]] = {}
    for text in method.equations.values():
        net = parse_reaction(text).net
        electrons = next((float(abs(amount)) for one, amount in net.items() if one.is_electron), 0.0)
        taken = [
            one for one, amount in net.items() if amount < 0 and not one.is_electron and one.notation != "H^+"
        ]
        if electrons and len(taken) == 1:
            found[taken[0] == titrant] = taken[0], electrons / float(-net[taken[0]])
    if len(found) != 2:
        raise ValueError("not two half-reactions")
    return found[False][0].notation, found[True][0].notation, found[True][1] / found[False][1]


def _named(formula: Formula) -> str:
    return "EDTA" if formula == EDTA else formula.notation


def _no_single_reaction(method: Method) -> Finding:
    message = (
        f"The titration of {method.name} is no single reaction of two substances with known constants. "
        "Write what stands in flask and burette into a system file: the guide page on curves shows how."
    )
    return Finding("no-single-reaction", Severity.REFUSED, message, Place(field=method.name))
