"""A first cage from a handful of landmarks: every bar inside the shell at a stated gap, and bendable."""

from collections.abc import Callable, Mapping

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Driver
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.layout import braces, frame, sides
from hoopwright.fitting.layout.bench import Bench
from hoopwright.fitting.layout.driver_room import into_drivers
from hoopwright.fitting.layout.wishes import FirstLayout, LayoutWishes
from hoopwright.geometry import Vector
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell

LANDMARKS = ("hoop_foot", "front_foot", "screen_corner", "backstay_foot")
"""Places of the left side that a cage with six feet needs."""
_OF_FOUR = ("hoop_foot", "backstay_foot")
_FURTHER = ("front_strut",)
_FARTHEST_OUT_MM = 300.0


def lay_out_cage(
    shell: Shell,
    landmarks: Mapping[str, Node],
    wishes: LayoutWishes,
    *,
    drivers: tuple[Driver, ...] = (),
    progress: Progress = silent,
) -> FirstLayout:
    """The bars that were chosen, each inside the shell at the gap, ending on each other where axes cross.

    Args:
        shell: The scan in the vehicle frame.
        landmarks: Places of the left side: hoop_foot and backstay_foot; for six feet front_foot and
            screen_corner too; for strut links front_strut.
        wishes: What the person wants.
        drivers: Who drives, as measured: bars keep clear of them with their padding, or it is told.
        progress: Told how far it is.

    Raises:
        UserError: `FIT-003` when a landmark is missing, `FIT-002` when there is no roof over the hoop, `FIT-056`
            for a number that cannot be.
    """
    _refuse_numbers(wishes)
    bench = Bench(shell, _left_places(landmarks, wishes), wishes, drivers)
    steps = _steps(bench)
    for number, step in enumerate(steps):
        progress(f"placing the {step.__name__.replace('_', ' ')}", number / len(steps))
        step(bench)
    progress("first cage placed", 1.0)
    return FirstLayout(cage=bench.cage, findings=(*bench.findings, *into_drivers(bench.cage)))


def wanted_landmarks(wishes: LayoutWishes) -> tuple[str, ...]:
    """Landmarks that a choice of feet uses."""
    return {4: _OF_FOUR, 6: LANDMARKS, 8: (*LANDMARKS, *_FURTHER)}[wishes.feet]


def _steps(bench: Bench) -> list[Callable[[Bench], None]]:
    """What is placed, in the order in which bars hang on each other."""
    wishes = bench.wishes
    hoop, rear = [frame.main_hoop], [frame.backstays, braces.hoop_diagonals, braces.harness_bar]
    forward: dict[Callable[[Bench], None], bool] = {
        braces.roof_bars: wishes.roof != "none",
        sides.dash_bar: wishes.dash_bar,
        sides.strut_links: wishes.feet == 8,
    }
    asked = [step for step, wanted in forward.items() if wanted]
    sills = [sides.sill_bars] if wishes.sill_bars else []
    if wishes.feet == 4:
        asked += sills
        if asked:
            bench.findings.append(_needs_side_bars([step.__name__.replace("_", " ") for step in asked]))
        return [*hoop, *rear]
    return [*hoop, frame.side_bars, frame.screen_bar, *rear, *sills, sides.door_bars, *asked]


def _refuse_numbers(wishes: LayoutWishes) -> None:
    for what, value, low, high, unit in (
        ("Door bars outward by", wishes.door_out_mm, 0.0, _FARTHEST_OUT_MM, "mm"),
        ("A harness bar at the share", wishes.harness_share, 0.1, 0.9, "of the hoop's height"),
    ):
        if not low <= value <= high:
            raise UserError(
                Finding(
                    code="FIT-056",
                    severity=Severity.STOP,
                    sentence=f"{what} {value:g} {unit} cannot be.",
                    todo=f"Give {low:g} to {high:g}. Check the unit.",
                    measured=value,
                    limit=high if value > high else low,
                    unit=unit,
                )
            )


def _needs_side_bars(names: list[str]) -> Finding:
    return Finding(
        code="FIT-050",
        sentence=f"With four feet there are no side bars, so the {', '.join(names)} were left out.",
        todo="Ask for six or eight feet, or do without.",
        objects=tuple(names),
    )


def _left_places(landmarks: Mapping[str, Node], wishes: LayoutWishes) -> dict[str, Vector]:
    needed = _OF_FOUR if wishes.feet == 4 else LANDMARKS
    missing = [name for name in needed if name not in landmarks]
    if missing:
        raise UserError(
            Finding(
                code="FIT-003",
                severity=Severity.STOP,
                sentence=f"The first cage needs the landmark {', '.join(missing)}.",
                todo=f"Give the left-hand places {', '.join(needed)} as forward, left, up.",
                objects=tuple(missing),
            )
        )
    known = [name for name in (*LANDMARKS, *_FURTHER) if name in landmarks]
    places = {name: np.array(landmarks[name], dtype=np.float64) for name in known}
    return {name: np.array([place[0], abs(place[1]), place[2]]) for name, place in places.items()}
