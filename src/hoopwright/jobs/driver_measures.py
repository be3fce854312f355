"""What is measured between drivers and bars, once for all checks of them."""

from dataclasses import dataclass

from hoopwright.bars import Bar, check_shape
from hoopwright.cage import Cage, bars_of
from hoopwright.cage.driver_checks import VIEWS, HiddenView, RoomToBar, View, hidden_view, rooms_to_bars
from hoopwright.findings import stopping


@dataclass(frozen=True, eq=False, kw_only=True)
class Measured:
    """What lies between the drivers and the bars.

    Args:
        bars: Bars of the cage that have a centreline at all, by name.
        rooms: Room from every bar to every measured part, by driver.
        views: What every bar hides of each view, by driver and view; none without an eye point.
    """

    bars: dict[str, Bar]
    rooms: dict[str, tuple[RoomToBar, ...]]
    views: dict[str, dict[View, HiddenView]]


def measure_drivers(cage: Cage) -> Measured:
    """Measure every bar that can be bent against every driver."""
    bars = {name: bar for name, bar in bars_of(cage).items() if not stopping(check_shape(bar))}
    return Measured(
        bars=bars,
        rooms={driver.name: rooms_to_bars(driver, bars) for driver in cage.drivers},
        views={
            driver.name: {view: seen for view in VIEWS if (seen := hidden_view(driver, bars, view))}
            for driver in cage.drivers
        },
    )
