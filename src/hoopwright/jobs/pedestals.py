"""Pedestals of a plan of welding, taken into the cage."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.cage import Cage, bar_of, landing_at
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.going_along import loosened
from hoopwright.joints.landing.fit import fit_landing
from hoopwright.joints.reach import Leg, UnderFoot, metal_under, with_pedestals
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder


def take_pedestals(
    folder: ProjectFolder, drawn: Cage, shell: Shell, legs: Sequence[Leg], bent: Sequence[str]
) -> tuple[tuple[Leg, ...], list[Finding]]:
    """Put the pedestals into the drawn cage and save it, as one edit; bars that are bent already are left alone.

    A bar as bent is laid with its ends where the drawn ones are, so a drawn leg that is cut would lift it.
    A pedestal is put where the scan has no floor too, and told: the legs that are cut need it all the same.

    Args:
        folder: The project.
        drawn: Its cage.
        shell: The scan with its holes cut.
        legs: What the plan cuts.
        bent: Bars that are bent already.

    Raises:
        UserError: `REACH-012`, `REACH-013` where nothing can be taken.
    """
    cut = [leg for leg in legs if leg.up_mm > 0.0]
    fixed = {
        name for leg in cut for name in _alike(drawn, leg.bar_id) if _alike(drawn, leg.bar_id) & set(bent)
    }
    to_put = tuple(leg for leg in cut if leg.bar_id not in fixed)
    told = [_exists(leg) for leg in cut if leg.bar_id in fixed]
    if not to_put:
        raise UserError(*(replace(one, severity=Severity.STOP) for one in told or [_nothing_to_take()]))
    opened = folder.open()
    cage = with_pedestals(drawn, to_put)
    folder.save(opened, replace(opened.project, cage=cage))
    names = dict.fromkeys(leg.bar_id for leg in to_put)
    told += [finding for leg in to_put for finding in _cannot_fit(shell, cage, leg)]
    return to_put, [*told, *(finding for name in names for finding in loosened(cage, name))]


def _cannot_fit(shell: Shell, cage: Cage, leg: Leg) -> tuple[Finding, ...]:
    """Why the box under a foot cannot be made from the scan yet; empty where it can."""
    bar, landing = bar_of(cage, leg.bar_id), landing_at(cage, leg.bar_id, leg.end)
    if landing is None:
        return ()
    member = cage.member(leg.bar_id)
    end = member.end_a if leg.end == "A" else member.end_b
    own_mm = end.trim_mm + bar.tube.od_mm / 2.0
    reach_mm = own_mm + landing.height_mm
    metal = metal_under(shell, bar, leg.end, reach_mm=reach_mm, back_mm=own_mm)
    if metal.under_mm is None:
        return (_no_floor(leg, landing.height_mm, reach_mm, metal),)
    try:
        fit_landing(shell, bar, landing)
    except UserError as error:
        return tuple(replace(one, severity=Severity.WARNING) for one in error.findings)
    return ()


def _no_floor(leg: Leg, height_mm: float, reach_mm: float, metal: UnderFoot) -> Finding:
    near = (
        "none was scanned within 1 m"
        if metal.beside_mm is None
        else f"the nearest lies {metal.beside_mm:.1f} mm beside it"
    )
    return Finding(
        code="REACH-016",
        sentence=f"No scanned metal lies under foot {leg.end} of {leg.bar_id} within {reach_mm:.1f} mm; {near}. Its "
        f"leg is cut for a pedestal of {height_mm:.0f} mm, but the box itself cannot be fitted from this scan.",
        todo="Scan the floor there before the box is cut, or measure it at the car; 'hoopwright undo' takes the "
        "pedestals back.",
        objects=(leg.bar_id,),
        point_mm=metal.foot_mm,
        measured=metal.beside_mm,
        limit=reach_mm,
        unit="mm",
    )


def _alike(cage: Cage, name: str) -> set[str]:
    """A bar, the one that it mirrors, and those that mirror either."""
    own = cage.member(name).mirror_of or name
    return {own, *(member.member_id for member in cage.members if member.mirror_of == own)}


def _nothing_to_take() -> Finding:
    return Finding(
        code="REACH-012",
        severity=Severity.STOP,
        sentence="There is no pedestal to put: nothing is lowered, or the boxes are there already.",
        todo="Leave --take out, or type the drop with --drop or the room with --needs.",
    )


def _exists(leg: Leg) -> Finding:
    short_mm = leg.straight_mm - leg.new_straight_mm
    return Finding(
        code="REACH-013",
        sentence=f"Bar {leg.bar_id} or its mirror is bent already, so its end {leg.end} stays as drawn in the cage: a "
        f"pedestal of {leg.up_mm:.0f} mm needs {short_mm:.1f} mm cut off it.",
        todo="Cut it at the test fit, measure the bar again with 'hoopwright asbent', and choose its box with "
        "'hoopwright landing'.",
        objects=(leg.bar_id,),
        point_mm=leg.new_foot_mm,
        measured=short_mm,
        unit="mm",
    )
