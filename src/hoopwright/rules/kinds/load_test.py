"""Load test: the load that a bar must bear, from the car's weight. The model does not load it: a person does."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.findings import Verdict
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length, Mass, Number, Text
from hoopwright.units import STANDARD_GRAVITY_M_PER_S2


class LoadTestLimits(Limits):
    """Keys of a rule on a load test."""

    factor: Number
    plus_kg: Mass = Field(0.0, alias="plus")
    on: Text
    displacement_most_mm: Length | None = Field(None, alias="displacement_most")


def load_n(weight_kg: float, *, factor: float, plus_kg: float) -> float:
    """The load of a test: factor times (weight plus an addition) times standard gravity.

    Args:
        weight_kg: Weight of the car on the book's basis.
        factor: How many times.
        plus_kg: What the book adds to the car.
    """
    return factor * (weight_kg + plus_kg) * STANDARD_GRAVITY_M_PER_S2


def words(limits: LoadTestLimits, show: Show) -> str:
    """The requirement in words."""
    plus = f"(weight + {show.typed(limits.plus_kg, 'kg')})" if limits.plus_kg else "the weight"
    told = f"load of {limits.factor:g} x {plus} on {limits.on}"
    if limits.displacement_most_mm is None:
        return told
    return f"{told}, lasting displacement {show.limit(limits.displacement_most_mm, 'mm', 'most')}"


def check(limits: LoadTestLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Tell the load and what it may leave; the test is not done here: who saw it answers the rule by hand."""
    if scope.weight_kg is None:
        basis = "" if scope.basis is None else f" ({scope.basis.value})"
        yield not_checked(limits.on, f"give the weight of the car{basis}")
        return
    load = load_n(scope.weight_kg, factor=limits.factor, plus_kg=limits.plus_kg)
    most_mm = limits.displacement_most_mm
    left = "" if most_mm is None else f", lasting displacement {scope.show.limit(most_mm, 'mm', 'most')}"
    yield Outcome(
        about=limits.on,
        verdict=Verdict.NOT_CHECKED,
        limit_words=f"{load:,.0f} N{left}",
        how="not checkable from the model",
        todo=f"Have {limits.on} loaded with {load:,.0f} N by a test house that the body takes, and answer this rule by "
        "hand with what came of it.",
    )
