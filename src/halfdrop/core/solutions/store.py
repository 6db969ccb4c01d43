"""What the store room has, and what is wanted of it: vessels, lots, stock solutions, solutions."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from halfdrop.core.findings import Place
from halfdrop.core.solutions.amounts import Needs
from halfdrop.core.solutions.reagent import Assay


class Kind(StrEnum):
    """Kinds of vessels."""

    FLASK = "flask"
    CYLINDER = "cylinder"
    PIPETTE = "pipette"
    BURETTE = "burette"
    BEAKER = "beaker"
    CARBOY = "carboy"
    BOTTLE = "bottle"


MAKES = (Kind.FLASK, Kind.BEAKER, Kind.CARBOY)  # a solution can be made up in these
MEASURES = (Kind.CYLINDER, Kind.PIPETTE, Kind.BURETTE)


@dataclass(frozen=True)
class Vessel:
    """Vessels of one kind and size.

    Attributes:
        kind, capacity_ml: what they are.
        count: how many there are.
        grade: class, "" where not given.
        division_ml: between two lines; 0 where there is one mark.
        mpe_ml: maximum permissible error, plus or minus.
        source: of the limit.
    """

    kind: Kind
    capacity_ml: float
    count: int
    grade: str
    division_ml: float
    mpe_ml: float
    source: str

    @property
    def name(self) -> str:
        """How a sheet calls it: ``1000 mL flask``."""
        return f"{self.capacity_ml:g} mL {self.kind}"


@dataclass(frozen=True)
class Lot:
    """A bottle of a reagent: how much is in it, and what its label says beside the shipped data."""

    reagent: str
    lot: str
    amount: float
    expires: str
    purity: Assay | None
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True)
class Stock:
    """A stock solution.

    Attributes:
        name, species: what it is.
        mol_l, u_mol_l: its concentration and standard uncertainty.
        volume_ml: how much there is.
        known: whether it was standardised, or rests on a primary standard.
        source: how it is known.
        reagent: whose cautions hold for it.
    """

    name: str
    species: str
    mol_l: float
    u_mol_l: float
    volume_ml: float
    known: bool
    source: str
    reagent: str


@dataclass(frozen=True)
class Wanted:
    """A solution that is wanted.

    Attributes:
        name: what the sheet and the label call it.
        species, mol_l: what it holds.
        made_from: name of a reagent or a stock; "" leaves the choice.
        method: of the class, "" for none.
        used: ``burette``, ``pipette`` or ``reagent``.
        needs: what the class takes; None where a volume is given outright.
        volume_ml: at least so much.
        place: where it was asked for.
    """

    name: str
    species: str
    mol_l: float
    made_from: str
    method: str
    used: str
    needs: Needs | None
    volume_ml: float
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True)
class Balance:
    """A balance: what it is called, its division, the standard uncertainty of one amount, and its source."""

    name: str
    division_g: float
    u_g: float
    source: str
    rectangular: bool

    @property
    def analytical(self) -> bool:
        """Whether a mass on it may carry a concentration."""
        return self.division_g <= 0.001


@dataclass(frozen=True)
class RoomAir:
    """The room: temperature with limits, and pressure and humidity for the density of its air."""

    temperature_c: float = 20.0
    limits_c: float = 3.0
    pressure_hpa: float = 1013.0
    humidity_percent: float = 50.0
    measured: bool = False
