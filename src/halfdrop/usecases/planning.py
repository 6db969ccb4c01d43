"""From what is wanted and what the store room has to batches: vessels, measures, amounts, what is short."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.solutions.amounts import batches, bottles
from halfdrop.core.solutions.heat import Care, Rise, rise
from halfdrop.core.solutions.makeup import (
    Basis,
    Batch,
    Flask,
    Measure,
    basis_of,
    plan_batch,
)
from halfdrop.core.solutions.reagent import Reagent, State
from halfdrop.core.solutions.store import MAKES, Kind, Lot, Stock, Vessel, Wanted
from halfdrop.core.solutions.workings import Way
from halfdrop.files.class_file import ClassFile
from halfdrop.files.reagents import for_species
from halfdrop.usecases.measuring import Measuring, exact_measure

MOST_BATCHES = 100
SMALL_ML = 20.0  # below this a whole class uses hardly any; litres were perhaps meant
MOST_SOLID_G_ML = 0.7  # grams of a solid for a millilitre of solution; hardly any dissolves so well


@dataclass(frozen=True)
class Planned:
    """How a solution is made.

    Attributes:
        reagent: what it is made from, or whose cautions hold for the stock.
        stock: the stock, or None.
        lot: of the reagent, or None.
        batches: largest first.
        needed_ml: what the class takes, spare part included.
        bottles_ml: what it is kept in; empty where the store room lists no bottle that holds it.
        rise: estimated heat, None where no value is at hand.
        basis: what the concentration rests on.
    """

    reagent: Reagent
    stock: Stock | None
    lot: Lot | None
    batches: tuple[Batch, ...]
    needed_ml: float
    bottles_ml: tuple[float, ...]
    rise: Rise | None
    basis: Basis

    @property
    def title(self) -> str:
        """What the sheet calls the source."""
        if self.stock is not None:
            return self.stock.name
        lot = f", lot {self.lot.lot}" if self.lot and self.lot.lot else ""
        return f"{self.reagent.title}{lot}"

    @property
    def made_ml(self) -> float:
        """What is made."""
        return sum(one.flask.capacity_ml for one in self.batches)

    @property
    def taken(self) -> float:
        """What is taken of reagent or stock for all batches, g or mL."""
        return sum(one.amount for one in self.batches)


@dataclass
class Planner:
    """Plans one solution after the other, and remembers what was taken of what.

    Attributes:
        plan: the class file.
        findings: where findings go.
    """

    plan: ClassFile
    findings: list[Finding]
    taken: dict[str, float] = field(default_factory=lambda: defaultdict(float))

    def __post_init__(self) -> None:
        self.measuring = Measuring(self.plan, self.findings)

    def planned(self, wanted: Wanted) -> Planned | None:
        """Return how a solution is made, or None and a finding that refuses it."""
        found = self._source(wanted)
        if found is None:
            return None
        reagent, stock = found
        lot = None if stock else self._lot(reagent)
        if lot is not None and lot.purity is not None and reagent.purity is not None:
            reagent = replace(reagent, purity=lot.purity)
        way = Way.STOCK if stock else Way.SOLID if reagent.state is State.SOLID else Way.LIQUID
        given = self.measuring.given(reagent, stock, wanted)
        needed = max(wanted.volume_ml, wanted.needs.total_ml if wanted.needs else 0.0)
        if needed < SMALL_ML:
            self._say(
                wanted,
                "volume-small",
                Severity.ATTENTION,
                f"Only {needed:g} mL of {wanted.name} are asked for. Volumes are in millilitres.",
            )
        flasks = self._flasks(wanted, way, reagent, stock, given, needed)
        made = self._batches(wanted, way, given, flasks, reagent)
        if not made:
            return None
        heat = self._heat(wanted, reagent, way, made[0])
        basis = basis_of(
            None if stock else reagent,
            made[0].measure,
            made[0].flask,
            stock_known=bool(stock and stock.known),
        )
        planned = Planned(reagent, stock, lot, made, needed, self._bottled(wanted, made), heat, basis)
        self.taken[stock.name if stock else reagent.name] += planned.taken
        return planned

    # ------------------------------------------------------------------------------------------- the source

    def _source(self, wanted: Wanted) -> tuple[Reagent, Stock | None] | None:
        reagents = self.plan.reagents
        stock = next((one for one in self.plan.stocks if one.name == wanted.made_from), None)
        if stock is not None:
            if stock.mol_l <= wanted.mol_l:
                self._say(
                    wanted,
                    "stock-too-weak",
                    Severity.REFUSED,
                    f"{stock.name} of {stock.mol_l:g} mol/L makes no {wanted.mol_l:g} mol/L by "
                    "dilution. "
                    "Take a stronger one.",
                )
                return None
            return reagents[stock.reagent], stock
        if wanted.made_from:
            return reagents[wanted.made_from], None
        able = list(for_species(wanted.species, reagents))
        there = [one for one in able if any(lot.reagent == one.name for lot in self.plan.lots)]
        return ((there or able)[0], None) if able else None

    def _lot(self, reagent: Reagent) -> Lot | None:
        """Return the first lot that is in date and not empty."""
        return next(iter(self._usable(reagent.name)), None)

    def _usable(self, name: str) -> list[Lot]:
        day = self.plan.made_on or (self.plan.when.date().isoformat() if self.plan.when else "")
        return [
            lot
            for lot in self.plan.lots
            if lot.reagent == name and lot.amount > 0 and not (day and lot.expires and lot.expires < day)
        ]

    # ---------------------------------------------------------------------------------- flasks and batches

    def _flasks(
        self,
        wanted: Wanted,
        way: Way,
        reagent: Reagent,
        stock: Stock | None,
        given: dict[str, Estimate],
        needed: float,
    ) -> tuple[Vessel, ...]:
        """Return the vessels of all batches; empty and a finding where none will do."""
        able = [one for one in self.plan.vessels if one.kind in MAKES]
        exact = [one for one in able if one.kind is Kind.FLASK]
        if (reagent.is_primary and not stock) or (stock and stock.known):
            able = exact or able
        if not able:
            self._say(
                wanted,
                "no-vessel",
                Severity.REFUSED,
                "The store room lists nothing to make a solution up in. Write [[vessel]] with kind = "
                '"flask" and capacity_mL.',
            )
            return ()
        largest = self._largest_batch(wanted, way, given, reagent, able[0])
        most = max((one.capacity_ml for one in able if one.capacity_ml <= largest), default=0.0)
        if most and needed > MOST_BATCHES * most:
            message = (
                f"{needed:.4g} mL of {wanted.name} in batches of {most:g} mL are more than "
                f"{MOST_BATCHES} batches. List a larger vessel, or look at people, trials and volumes."
            )
            self._say(wanted, "too-many-batches", Severity.REFUSED, message)
            return ()
        sizes = batches(needed, [one.capacity_ml for one in able], largest)
        if not sizes:
            limit = reagent.batch_limit
            self._say(
                wanted,
                "batch-limit",
                Severity.REFUSED,
                f"One batch takes {limit.amount if limit else 0:g} {limit.unit if limit else ''} of "
                f"{reagent.title} at most ({limit.source if limit else ''}): {largest:.0f} mL of "
                "this solution. No "
                "vessel here is small enough. List a smaller one, or make a weaker solution.",
            )
        flasks_last = sorted(
            able, key=lambda one: one.kind is Kind.FLASK
        )  # of two of a size the flask is kept
        by_size = {one.capacity_ml: one for one in flasks_last}
        return tuple(by_size[size] for size in sizes)

    def _largest_batch(
        self, wanted: Wanted, way: Way, given: dict[str, Estimate], reagent: Reagent, vessel: Vessel
    ) -> float:
        """Return the largest volume of one batch by the limit of its reagent."""
        if reagent.batch_limit is None or way is Way.STOCK:
            return float("inf")
        trial = plan_batch(way, wanted.mol_l, given, exact_measure(way), flask_of(vessel))
        return reagent.batch_limit.amount / trial.exact_amount * vessel.capacity_ml

    def _batches(
        self, wanted: Wanted, way: Way, given: dict[str, Estimate], flasks: Sequence[Vessel], reagent: Reagent
    ) -> tuple[Batch, ...]:
        by_size: dict[float, Batch] = {}
        for vessel in flasks:
            if vessel.capacity_ml in by_size:
                continue
            made = self._batch(wanted, way, given, vessel, reagent)
            if made is None:
                return ()
            by_size[vessel.capacity_ml] = made
        return tuple(by_size[vessel.capacity_ml] for vessel in flasks)

    def _batch(
        self, wanted: Wanted, way: Way, given: dict[str, Estimate], vessel: Vessel, reagent: Reagent
    ) -> Batch | None:
        flask = flask_of(vessel)
        exact = plan_batch(way, wanted.mol_l, given, exact_measure(way), flask).exact_amount
        share = exact / vessel.capacity_ml
        if way is Way.SOLID and share > MOST_SOLID_G_ML:
            self._say(
                wanted,
                "too-strong",
                Severity.REFUSED,
                f"{exact:.0f} g of {reagent.title} for {vessel.capacity_ml:g} mL is more than "
                "dissolves. Look at the "
                "concentration: it is in mol/L.",
            )
            return None
        if way is not Way.SOLID and share >= 1:
            self._say(
                wanted,
                "too-strong",
                Severity.REFUSED,
                f"{wanted.mol_l:g} mol/L is as strong as {reagent.title} itself, or stronger. Look "
                "at the "
                "concentration: it is in mol/L.",
            )
            return None
        measure = self.measuring.measure(wanted, way, exact, near=not reagent.is_primary)
        if measure is None:
            return None
        try:
            return plan_batch(way, wanted.mol_l, given, measure, flask)
        except ValueError:
            self._say(
                wanted,
                "amount-too-small",
                Severity.REFUSED,
                f"{exact:.3g} {measure.unit} is less than the {measure.name} can tell. Make a "
                "stronger solution and "
                "dilute it.",
            )
            return None

    def _bottled(self, wanted: Wanted, made: Sequence[Batch]) -> tuple[float, ...]:
        volume = sum(one.flask.capacity_ml for one in made)
        listed = [one for one in self.plan.vessels if one.kind is Kind.BOTTLE]
        found = bottles(volume, [one.capacity_ml for one in listed for _ in range(one.count)])
        if listed and not found:
            self._say(
                wanted,
                "bottles-short",
                Severity.ATTENTION,
                f"{volume:g} mL of {wanted.name} do not go into the bottles that are listed.",
            )
        return found

    def _heat(self, wanted: Wanted, reagent: Reagent, way: Way, batch: Batch) -> Rise | None:
        if reagent.heat is None or way is Way.STOCK:
            return None
        volume = batch.flask.capacity_ml
        found = rise(batch.value * volume / 1000, reagent.heat.kj_mol, volume, self.plan.room.temperature_c)
        if found.care is Care.REFUSED:
            hottest = self.plan.room.temperature_c + found.whole_k
            message = (
                f"Making {wanted.name} in one go would heat it to about {hottest:.0f} degC. Make a weaker "
                "solution, or buy this one."
            )
            self._say(wanted, "too-hot", Severity.REFUSED, message)
        return found

    # ------------------------------------------------------------------------------------- what is short

    def short(self) -> Iterator[Finding]:
        """Yield what the store room does not have enough of; nothing where it lists no lots."""
        for name, taken in self.taken.items():
            stock = next((one for one in self.plan.stocks if one.name == name), None)
            if stock is not None:
                yield from _short(name, taken, stock.volume_ml, "mL", Place(self.plan.file))
            elif self.plan.lots:
                unit = "g" if self.plan.reagents[name].state is State.SOLID else "mL"
                lots = self._usable(name)
                place = lots[0].place if lots else Place(self.plan.file)
                yield from _short(name, taken, sum(lot.amount for lot in lots), unit, place)

    def _say(self, wanted: Wanted, code: str, severity: Severity, message: str) -> None:
        self.findings.append(Finding(code, severity, message, wanted.place))


def _short(name: str, taken: float, there: float, unit: str, place: Place) -> Iterator[Finding]:
    if taken <= there:
        return
    message = (
        f"{name} is short: {taken:.4g} {unit} are taken, {there:.4g} {unit} are there and in date. Order "
        f"{taken - there:.3g} {unit} at least, or make less."
    )
    evidence: dict[str, object] = {"taken": taken, "there": there, "unit": unit}
    yield Finding("stock-short", Severity.ATTENTION, message, place, evidence)


def flask_of(vessel: Vessel) -> Flask:
    """Return a vessel as what a batch is made up in."""
    return Flask(vessel.name, vessel.capacity_ml, vessel.mpe_ml, vessel.kind is Kind.FLASK, vessel.source)


__all__ = ["Measure", "Planned", "Planner"]
