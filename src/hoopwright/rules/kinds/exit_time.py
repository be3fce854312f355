"""Exit: how long a driver takes to get out, as timed."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.rules.facts import DriverFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Number


class ExitLimits(Limits):
    """Keys of a rule on getting out."""

    most_s: Number = Field(alias="seconds_most")


def words(limits: ExitLimits, show: Show) -> str:
    """The requirement in words."""
    return f"driver out of the car in {show.limit(limits.most_s, 's', 'most')}"


def check(limits: ExitLimits, driver: DriverFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the time of one driver against the limit."""
    if driver.exit_s is None:
        yield not_checked(driver.driver_id, "let the driver get out and take the time")
        return
    yield held_against(
        driver.exit_s,
        limits.most_s,
        "most",
        unit="s",
        about=driver.driver_id,
        how="timed by hand",
        todo="Move the bars or the seat that are in the way.",
    )
