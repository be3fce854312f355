"""What bends the bars of a project: die by die the machine and the calibration in force, and the sticks in hand."""

from dataclasses import dataclass

from hoopwright.bender import Calibration
from hoopwright.bender.rescue.refusals import in_words
from hoopwright.bender.rescue.session import standing
from hoopwright.cage import Member, bar_of
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.shop_at_hand import MachineForBar, machine_for, shop_at_hand
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class BendingSetup:
    """One die with one tube.

    Args:
        die: Name of the die.
        tube: Its tube.
        bars: The bars that are bent on it.
        machine: The machine and what is known of it.
        calibration: In force; not calibrated where none is kept.
    """

    die: str
    tube: TubeSize
    bars: tuple[str, ...]
    machine: MachineForBar
    calibration: Calibration


@dataclass(frozen=True, kw_only=True)
class StickInHand:
    """The last stick of a bar.

    Args:
        bar_id: The bar.
        revision: Of the sheet that it is bent from.
        words: What is asked now.
        is_open: Whether bends are still to be made or decided.
        made: How many bends are made.
        bends: Of how many.
    """

    bar_id: str
    revision: int
    words: str
    is_open: bool
    made: int
    bends: int


def setups_of(folder: ProjectFolder) -> tuple[BendingSetup, ...]:
    """Every die and tube that the bent bars of a project need; straight bars need none.

    Raises:
        UserError: `CAL-...` for a calibration that cannot be read, `SHOP-...` for a shop that cannot.
    """
    project = folder.open().project
    bent = [one for one in project.cage.members if bar_of(project.cage, one.member_id).bend_count]
    groups: dict[tuple[str, TubeSize], list[Member]] = {}
    for member in bent:
        groups.setdefault((member.die, member.tube), []).append(member)
    calibrations = calibrations_at_hand(folder, bent)
    shop = shop_at_hand()
    return tuple(
        BendingSetup(
            die=die,
            tube=tube,
            bars=tuple(member.member_id for member in members),
            machine=machine_for(project, members[0], shop),
            calibration=calibration_for(calibrations, members[0], placeholder=True),
        )
        for (die, tube), members in groups.items()
    )


def sticks_of(folder: ProjectFolder) -> tuple[StickInHand, ...]:
    """The last stick of each bar that was begun.

    Raises:
        UserError: `STORE-009` for damaged records.
    """
    project = folder.open().project
    found = (_stick(folder, member.member_id) for member in project.cage.members)
    return tuple(stick for stick in found if stick is not None)


def _stick(folder: ProjectFolder, bar_id: str) -> StickInHand | None:
    stick = last_stick(folder, bar_id)
    if stick is None:
        return None
    now = standing(stick.records)
    return StickInHand(
        bar_id=bar_id,
        revision=now.started.revision,
        words=in_words(now),
        is_open=now.phase not in ("done", "scrapped"),
        made=len(now.finished),
        bends=len(now.started.job.feeds),
    )
