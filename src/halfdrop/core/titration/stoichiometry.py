"""The stoichiometric ratio that a method's equations give; it is never typed."""

from __future__ import annotations

import re
from fractions import Fraction

from halfdrop.core.chemistry.formula import ELECTRON, parse_formula
from halfdrop.core.chemistry.net_reaction import combine
from halfdrop.core.chemistry.reaction import Reaction, ReactionError, parse_reaction, ratio
from halfdrop.core.titration.method import Method

_BETWEEN_NAMES = re.compile(r"[,\s]+")


class NoRatio(ValueError):  # noqa: N818 - it says what is missing
    """Raised when equations give no ratio; ``reasons`` are whole sentences, one for each thing noticed."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__(" ".join(reasons))


def stoichiometric_ratio(method: Method, source_species: str, target_species: str, by: str = "") -> Fraction:
    """Return the amount of one substance that answers to one unit amount of another.

    The equations are combined so that the method's intermediates (``through``) and electrons cancel.

    Args:
        method: its equations and intermediates are used.
        source_species: formula of the substance whose amount is known; the net reaction uses it up.
        target_species: formula of the substance whose amount is wanted; used up or formed.
        by: names of the equations, with spaces or commas between; "" means all of them.

    Raises:
        NoRatio: when an equation is not there or does not balance, the intermediates cannot be eliminated in
            one single way, or a substance is not in the net reaction.
    """
    reactions = _chosen(method, by)
    try:
        source, target = parse_formula(source_species), parse_formula(target_species)
        present = {species for reaction in reactions for species in reaction.net}
        through = [*map(parse_formula, method.through), ELECTRON]
        eliminate = [s for s in dict.fromkeys(through) if s in present and s not in (source, target)]
        # a half-reaction runs either way, an equation runs as written
        consumes = source if all(reaction.is_half for reaction in reactions) else None
        return ratio(combine(reactions, eliminate, consumes).net, target, source, analyte_is="either")
    except (
        ValueError
    ) as error:  # a formula that cannot be read, no single net reaction, a substance not in it
        raise NoRatio([str(error)]) from error


def _chosen(method: Method, by: str) -> list[Reaction]:
    """Return the equations named, read and balanced; every complaint at once."""
    names = [name for name in _BETWEEN_NAMES.split(by) if name] or list(method.equations)
    reactions, reasons = [], []
    for name in names:
        if name not in method.equations:
            known = ", ".join(method.equations) or "none"
            reasons.append(f"There is no equation '{name}'. Known are {known}.")
            continue
        try:
            reactions.append(parse_reaction(method.equations[name]))
        except ReactionError as error:
            reasons += error.problems
    if reasons or not reactions:
        raise NoRatio(reasons or ["There is no equation."])
    return reactions
