"""Whether the bars of a first cage keep the padding that goes on them clear of the drivers."""

from hoopwright.cage import Cage, bars_of
from hoopwright.cage.driver_checks import rooms_to_bars
from hoopwright.findings import Finding
from hoopwright.fitting.placing import HELD_WITHIN_MM


def into_drivers(cage: Cage) -> tuple[Finding, ...]:
    """Every bar that leaves less than the padding to a part of a driver, the nearest part of each."""
    bars = bars_of(cage)
    found = []
    for driver in cage.drivers:
        rooms = sorted(rooms_to_bars(driver, bars), key=lambda room: room.room_mm)
        worst = {room.bar: room for room in reversed(rooms) if room.room_mm < -HELD_WITHIN_MM}
        for name in bars:
            if name in worst:
                room = worst[name]
                gap_mm = room.room_mm + driver.padding_mm
                found.append(
                    Finding(
                        code="FIT-058",
                        sentence=f"Bar {name} comes within {gap_mm:.0f} mm of {driver.name}'s {room.part}; its padding "
                        f"wants {driver.padding_mm:g} mm.",
                        todo="Move the bar or the seat, lay out with other choices, or pad less.",
                        objects=(name, driver.name),
                        point_mm=room.place_mm,
                        measured=gap_mm,
                        limit=driver.padding_mm,
                        unit="mm",
                    )
                )
    return tuple(found)
