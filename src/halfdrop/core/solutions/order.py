"""The order of the work of one batch: water first, acid into water, cool before the mark, mix, label.

The words are those of a make-up sheet; what is special to a reagent comes from its data.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from halfdrop.core.solutions.heat import START_SHARE, Care, Rise
from halfdrop.core.solutions.makeup import Basis, Batch
from halfdrop.core.solutions.reagent import Extra, Reagent, Step, When
from halfdrop.core.solutions.workings import Way


@dataclass(frozen=True)
class Instruction:
    """One step of the work.

    Attributes:
        says: what to do.
        tick: whether it asks for a number to be written down, and in what unit: ``g``, ``mL``, ``°C`` or "".
        hours: how long it keeps the solution waiting.
    """

    says: str
    tick: str = ""
    hours: float = 0.0


@dataclass(frozen=True)
class Job:
    """What the order of the work depends on.

    Attributes:
        batch: the largest batch.
        count: how many batches are made.
        reagent: what it is made from, or whose cautions hold for the stock.
        title: what the sheet calls the source: the reagent or the stock.
        rise: estimated heat; None where no value is at hand.
        basis: what the concentration rests on.
    """

    batch: Batch
    count: int
    reagent: Reagent
    title: str
    rise: Rise | None
    basis: Basis

    @property
    def hot(self) -> bool:
        """Whether it is dissolved in a heat-proof beaker in cold water."""
        return self.rise is not None and self.rise.care in (Care.PORTIONS, Care.DANGEROUS)

    @property
    def vessel(self) -> str:
        """In what it is dissolved first."""
        flask = self.batch.flask
        if self.hot:
            return "a heat-proof beaker that stands in cold water"
        if self.batch.way is Way.SOLID and flask.volumetric:
            return "a beaker"
        return f"the {flask.name}"


def order_of_work(job: Job) -> tuple[Instruction, ...]:
    """Return the steps of one batch in their order, with what follows for all batches together."""
    return tuple(_steps(job))


def _steps(job: Job) -> Iterator[Instruction]:
    own = () if job.batch.way is Way.STOCK else job.reagent.steps
    yield Instruction(
        "Read the cautions on this sheet. Goggles on. Clean, empty bottle labelled before it is filled."
    )
    yield from _own(own, When.BEFORE)
    yield from _dissolving(job, own)
    yield from _to_the_mark(job)
    if job.count > 1:
        yield Instruction(
            f"Pour all {job.count} batches together into one clean, dry vessel, or one rinsed with the "
            "solution; mix, "
            "and only then fill bottles from it."
        )
    yield from _own(own, When.AFTER)
    yield Instruction(f"Into the bottle, with its label: {job.reagent.keeping.how}.")
    if job.basis is Basis.NOMINAL:
        yield Instruction(_standardise(job), "mol/L")


def _own(steps: Sequence[Step], when: When) -> Iterator[Instruction]:
    for step in steps:
        if step.when is when:
            yield Instruction(step.says, hours=step.hours)


def _dissolving(job: Job, own: Sequence[Step]) -> Iterator[Instruction]:
    batch = job.batch
    volume = batch.flask.capacity_ml * START_SHARE
    take = f"{batch.amount_text} {batch.measure.unit}"
    if batch.way is Way.STOCK:
        yield Instruction(f"Rinse the {batch.measure.name} with a little of {job.title}.")
        yield Instruction(
            f"Measure {take} of {job.title} with the {batch.measure.name} into the {batch.flask.name}.", "mL"
        )
        return
    solid = batch.way is Way.SOLID
    verb, how = ("Weigh", "on") if solid else ("Measure", "with")
    first = [f"Put about {volume:g} mL of water into {job.vessel}."]
    first += [_extra(one, batch.flask.capacity_ml) for one in job.reagent.extras]
    near = " Anything within 2 % of it will do: what counts is what you write down." if _counts(job) else ""
    taking = f"{verb} {take} of {job.title} {how} the {batch.measure.name}; write down what it is.{near}"
    weigh = Instruction(taking, batch.measure.unit)
    mixing = [one for one in own if one.when is When.DISSOLVE]
    yield from (Instruction(one) for one in first)
    yield weigh
    if mixing:
        yield from _own(mixing, When.DISSOLVE)
    else:
        into = "Add it to the water in small portions, stirring, until all has dissolved."
        yield Instruction(into if solid else "Pour it into the water slowly, stirring. Never water into it.")
    if job.rise is not None and job.rise.care is not Care.NONE:
        yield Instruction(_heat(job.rise), "°C" if job.rise.whole_k > 0 else "")


def _counts(job: Job) -> bool:
    """Tell whether the concentration is worked out from what was weighed."""
    return job.basis is Basis.WEIGHED


def _extra(one: Extra, volume_ml: float) -> str:
    amount = one.per_litre * volume_ml / 1000
    why = f" ({one.why})" if one.why else ""
    return f"Add {amount:.3g} {one.unit.split('/')[0]} of {one.what}{why}."


def _heat(rise: Rise) -> str:
    if rise.care is Care.COLD:
        return (
            f"It grows colder by about {-rise.whole_k:.0f} K. Let it come back to room temperature "
            "before the mark."
        )
    text = (
        f"Estimated: warmer by {rise.whole_k:.0f} K in all of the water, by {rise.first_k:.0f} K in half "
        "of it (up to "
        f"{rise.hottest_c:.0f} °C) if all goes in at once."
    )
    more = {
        Care.WARM: " Let it cool to room temperature before the mark.",
        Care.PORTIONS: " In portions; wait between them; cool to room temperature before the mark.",
        Care.DANGEROUS: " Ice into the water bath, small portions, wait after each until it is cold to "
        "the hand; cool to room "
        "temperature before the mark.",
    }
    return text + more.get(rise.care, "")


def _to_the_mark(job: Job) -> Iterator[Instruction]:
    flask = job.batch.flask
    if not flask.volumetric:
        yield Instruction(f"Make up to {flask.capacity_ml:g} mL in the {flask.name} and stir well.")
        return
    if job.vessel != f"the {flask.name}":
        yield Instruction(
            f"Through a funnel into the {flask.name}; rinse beaker, rod and funnel into it three times "
            "with a little water."
        )
    yield Instruction(
        "At room temperature: water to the mark, the last of it drop by drop; write down the temperature.",
        "°C",
    )
    yield Instruction(
        "Stopper and turn it upside down and back ten times at least, letting the bubble run through."
    )


def _standardise(job: Job) -> str:
    by = job.reagent.standardise_by
    how = f" (method {' or '.join(by)})" if by else ""
    why = f": {job.reagent.why_secondary}" if job.reagent.why_secondary else ""
    return (
        f"Its strength is not known from making up{why}. Standardise it before it is used{how}, and "
        "write value and date on the label."
    )
