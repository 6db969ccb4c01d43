"""What a label says: name, concentration, dates, hazards, and an identity for its square code."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass

from halfdrop.core.chemistry.hazards import statement
from halfdrop.core.solutions.labelling import LabelElements, Pictogram, label_elements
from halfdrop.core.solutions.makeup import Basis
from halfdrop.core.solutions.reagent import Band, Stream
from halfdrop.files.class_file import ClassFile
from halfdrop.usecases.planning import Planned

BLANK = "________"


@dataclass(frozen=True)
class Label:
    """A label.

    Attributes:
        name, strength: what is in the bottle.
        made_on, use_by: days, "" where they are written by hand.
        keep: how it is kept.
        signal, pictograms, codes: of the hazards.
        statements: the hazard statements in words.
        identity: text of the square code, and in short under it.
        notes: lines to fill in or to mind.
        bottles: how many of this label are printed.
        dated: whether it has lines for making and use by.
    """

    name: str = ""
    strength: str = ""
    made_on: str = ""
    use_by: str = ""
    keep: str = ""
    signal: str = ""
    pictograms: tuple[Pictogram, ...] = ()
    codes: tuple[str, ...] = ()
    statements: tuple[str, ...] = ()
    identity: str = ""
    notes: tuple[str, ...] = ()
    bottles: int = 1
    dated: bool = True

    def as_data(self) -> dict[str, object]:
        """Return the label as data."""
        return {
            "name": self.name,
            "strength": self.strength,
            "made_on": self.made_on,
            "use_by": self.use_by,
            "signal": self.signal,
            "codes": list(self.codes),
            "pictograms": [str(one) for one in self.pictograms],
            "identity": self.identity,
            "bottles": self.bottles,
        }


def label_for(
    name: str, strength: str, plan: ClassFile, planned: Planned, band: Band, elements: LabelElements
) -> Label:
    """Return the label of a solution."""
    keeping = planned.reagent.keeping
    use_by = ""
    if plan.made_on:
        use_by = (dt.date.fromisoformat(plan.made_on) + dt.timedelta(days=keeping.days)).isoformat()
    return Label(
        name, strength, plan.made_on, use_by, keeping.how, elements.signal, elements.pictograms,
        tuple(code for code in band.codes if code[0] in "HE"), hazard_words(band.codes),
        identity(plan, name, plan.made_on), _notes(planned.basis), max(1, len(planned.bottles_ml)),
    )  # fmt: skip


def sample_label(name: str, plan: ClassFile, planned: Planned, band: Band) -> Label:
    """Return the label of a sample whose strength is not told: hazards of the strongest that it may be."""
    elements = label_elements(band.codes, band.signal)
    return Label(
        name, "sample of unknown strength", plan.made_on, "", planned.reagent.keeping.how, elements.signal,
        elements.pictograms, tuple(code for code in band.codes if code[0] in "HE"), hazard_words(band.codes),
        identity(plan, name, plan.made_on),
    )  # fmt: skip


def stream_label(stream: Stream, plan: ClassFile, apart: tuple[str, ...], litres: float) -> Label:
    """Return the label of a waste container."""
    elements = label_elements(stream.codes, stream.signal)
    never = f"Never together with: {', '.join(apart)}" if apart else ""
    notes = (f"expected {litres:.1f} L", f"begun {BLANK}   full {BLANK}", never)
    return Label(
        f"Waste: {stream.title}", stream.label, "", "", stream.collects, elements.signal, elements.pictograms,
        tuple(code for code in stream.codes if code[0] in "HE"), hazard_words(stream.codes),
        identity(plan, f"waste {stream.name}", plan.made_on), tuple(note for note in notes if note),
        dated=False,
    )  # fmt: skip


def _notes(basis: Basis) -> tuple[str, ...]:
    return (f"c = {BLANK} ± {BLANK} mol/L on {BLANK}",) if basis is Basis.NOMINAL else ()


def hazard_words(codes: tuple[str, ...]) -> tuple[str, ...]:
    """Return the hazard and supplemental statements in words, precautionary ones left out."""
    return tuple(statement(code).text for code in codes if code[0] in "HE")


def identity(plan: ClassFile, name: str, day: str) -> str:
    """Return what tells one bottle from every other: a digest of what it is, the day, and its plan."""
    content = "\n".join((plan.digest, plan.title, name, day))
    return f"halfdrop solution {hashlib.sha256(content.encode()).hexdigest()[:12]}"
