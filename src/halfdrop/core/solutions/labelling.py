"""What a label shows for a set of hazard statements: signal word and pictograms.

Which hazard class has which pictogram and signal word, and which pictogram leaves which out, is laid down in
Regulation (EC) No 1272/2008: the tables of label elements in Annex I, the symbols in Annex V, the precedence
in Article 26. Written down from memory; take the label of a bought bottle from its maker.

One code can stand for two categories (H272 is category 2 or 3): the stronger signal word is taken, unless the
data say which.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

DANGER, WARNING = "Danger", "Warning"
SOURCE = "Regulation (EC) No 1272/2008, Annex I and Article 26; from memory"


class Pictogram(StrEnum):
    """A pictogram by its code in the regulation, in its order."""

    FLAME = "GHS02"
    FLAME_OVER_CIRCLE = "GHS03"
    GAS_CYLINDER = "GHS04"
    CORROSION = "GHS05"
    SKULL = "GHS06"
    EXCLAMATION = "GHS07"
    HEALTH = "GHS08"
    ENVIRONMENT = "GHS09"

    @property
    def words(self) -> str:
        """The symbol in words."""
        return _WORDS[self]


_WORDS = {
    Pictogram.FLAME: "flame",
    Pictogram.FLAME_OVER_CIRCLE: "flame over circle",
    Pictogram.GAS_CYLINDER: "gas cylinder",
    Pictogram.CORROSION: "corrosion",
    Pictogram.SKULL: "skull and crossbones",
    Pictogram.EXCLAMATION: "exclamation mark",
    Pictogram.HEALTH: "health hazard",
    Pictogram.ENVIRONMENT: "environment",
}

_P = Pictogram
# codes -> pictogram or none, signal word or none
_ELEMENTS: tuple[tuple[str, Pictogram | None, str], ...] = (
    ("H224 H225 H228 H242 H250 H260", _P.FLAME, DANGER),
    ("H226 H252 H261", _P.FLAME, WARNING),
    ("H251", _P.FLAME, DANGER),
    ("H270 H271 H272", _P.FLAME_OVER_CIRCLE, DANGER),
    ("H280 H281", _P.GAS_CYLINDER, WARNING),
    ("H290", _P.CORROSION, WARNING),
    ("H314 H318", _P.CORROSION, DANGER),
    ("H300 H301 H310 H311 H330 H331", _P.SKULL, DANGER),
    ("H302 H312 H332 H315 H319 H317 H335 H336 H420", _P.EXCLAMATION, WARNING),
    ("H304 H334 H340 H350 H360 H370 H372", _P.HEALTH, DANGER),
    ("H341 H351 H361 H371 H373", _P.HEALTH, WARNING),
    ("H400 H410", _P.ENVIRONMENT, WARNING),
    ("H411", _P.ENVIRONMENT, ""),
    ("H362 H412 H413", None, ""),
)
_BY_CODE = {code: (pictogram, signal) for codes, pictogram, signal in _ELEMENTS for code in codes.split()}
_SKIN_AND_EYES, _SKIN_AND_SENSITISING = {"H315", "H319"}, {"H315", "H317", "H319"}
_ACUTE = {"H302", "H312", "H332"}


class NoLabelElement(ValueError):  # noqa: N818 - it says what is missing
    """Raised when nothing is written down here for a hazard statement."""


@dataclass(frozen=True)
class LabelElements:
    """Signal word ("" for none) and pictograms, in the order of their codes."""

    signal: str
    pictograms: tuple[Pictogram, ...]


def label_elements(codes: Iterable[str], signal: str = "") -> LabelElements:
    """Return what a label shows for hazard statements; precautionary and supplemental ones add nothing.

    Args:
        codes: hazard, precautionary and supplemental codes; a combined one (``H302+H312``) counts as its
            parts.
        signal: the signal word where the data know it better.

    Raises:
        NoLabelElement: for a hazard statement that is not known here.

    >>> found = label_elements(["H290", "H314", "P280"])
    >>> found.signal, [one.words for one in found.pictograms]
    ('Danger', ['corrosion'])
    """
    hazards = {part[:4] for code in codes for part in code.split("+") if part.startswith("H")}
    unknown = sorted(hazards - set(_BY_CODE))
    if unknown:
        raise NoLabelElement(f"No signal word and pictogram are written down here for {', '.join(unknown)}.")
    signals = {_BY_CODE[code][1] for code in hazards}
    word = signal or next((one for one in (DANGER, WARNING) if one in signals), "")
    shown = {_BY_CODE[code][0] for code in hazards - _left_out(hazards)}
    return LabelElements(word, tuple(one for one in Pictogram if one in shown))


def _left_out(hazards: set[str]) -> set[str]:
    """Return the statements whose exclamation mark gives way to a stronger pictogram (Article 26)."""
    pictograms = {_BY_CODE[code][0] for code in hazards}
    out: set[str] = set()
    if Pictogram.SKULL in pictograms:
        out |= _ACUTE | _SKIN_AND_SENSITISING | {"H335", "H336"}
    if hazards & {"H314", "H318"}:
        out |= _SKIN_AND_EYES
    if "H334" in hazards:
        out |= _SKIN_AND_SENSITISING
    return out
