"""Calibrations: from a file alone, and kept in a project."""

import contextlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hoopwright.bender import (
    Calibration,
    CalibrationRecord,
    CommandAngle,
    Samples,
    SampleSuggestion,
    best_next_sample,
    calibration_as_dict,
    command_angle,
    fit_calibration,
    match_calibration,
    placeholder_calibration,
    read_calibration,
    read_samples,
    same_tube,
    samples_as_toml,
    samples_from_keys,
)
from hoopwright.cage import Cage, Member
from hoopwright.findings import UserError
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, one_at_a_time, write_whole

_NAME_LETTERS = 40


@dataclass(frozen=True, kw_only=True)
class FittedSamples:
    """Sample bends, fitted.

    Args:
        calibration: What they say.
        suggestion: Which further sample would help most.
        keys: The calibration as JSON carries it; `command` reads it back.
    """

    calibration: Calibration
    suggestion: SampleSuggestion
    keys: dict[str, Any]


def fit_typed(keys: dict[str, Any]) -> FittedSamples:
    """Fit sample bends as a form holds them: the keys of a sample file, numbers as they were typed.

    Raises:
        UserError: `CAL-...` when they cannot be read or cannot be.
    """
    return _fitted(samples_from_keys(keys, "the form"))


def calibrate(file: Path) -> FittedSamples:
    """Fit the sample bends of a file, and say which further sample would help most.

    Raises:
        UserError: `CAL-...` when the file cannot be read or the samples cannot be.
    """
    return _fitted(read_samples(file))


def _fitted(samples: Samples) -> FittedSamples:
    calibration, suggestion = fit_calibration(samples), best_next_sample(samples)
    keys = {**calibration_as_dict(calibration), "best_next_sample": suggestion.sentence}
    return FittedSamples(calibration=calibration, suggestion=suggestion, keys=keys)


def command(target_deg: float, file: Path) -> CommandAngle:
    """The angle to read under load for a wanted angle, from a sample file or a printed calibration.

    Raises:
        UserError: `CAL-...`.
    """
    return command_angle(read_calibration(file), target_deg)


def keep_calibration(folder: ProjectFolder, file: Path) -> Calibration:
    """Keep a sample file in the project as given, after those that are there; none is ever replaced.

    Raises:
        UserError: `CAL-...` when it cannot be read; `STORE-005` without a project.
    """
    folder.open()
    calibration = fit_calibration(read_samples(file))
    _keep(folder, file.stem, file.read_bytes())
    return calibration


def keep_samples(folder: ProjectFolder, samples: Samples) -> Calibration:
    """Keep sample bends that were typed into a form, as `keep_calibration` keeps a file.

    Raises:
        UserError: `CAL-...` when they cannot be fitted; `STORE-005` without a project.
    """
    folder.open()
    calibration = fit_calibration(samples)
    words = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in samples.name)
    _keep(folder, words.strip("-")[:_NAME_LETTERS] or "samples", samples_as_toml(samples).encode())
    return calibration


def _keep(folder: ProjectFolder, stem: str, content: bytes) -> None:
    make_folder(folder.calibrations)
    with one_at_a_time(folder.path):
        kept = folder.calibration_files
        if not kept or kept[-1].read_bytes() != content:
            numbers = [one.name.partition("-")[0] for one in kept]
            last = max((int(number) for number in numbers if number.isdecimal()), default=0)
            write_whole(folder.calibrations / f"{last + 1:03d}-{stem}.toml", content)


def kept_calibrations(folder: ProjectFolder) -> tuple[Calibration, ...]:
    """Every calibration kept in the project, in the order in which they were kept.

    Raises:
        UserError: `CAL-...` for a file that cannot be read.
    """
    return tuple(fit_calibration(read_samples(file)) for file in folder.calibration_files)


def calibrations_at_hand(folder: ProjectFolder, members: Iterable[Member]) -> tuple[Calibration, ...]:
    """The project's own calibrations, and before them those of the shop for members that the project has none for.

    Raises:
        UserError: `CAL-...` for a file that cannot be read; `SHOP-...` where the shop is needed and cannot be read.
    """
    own = kept_calibrations(folder)
    lacking = {(member.die, member.tube): member for member in members if not _has(own, member)}
    if not lacking:
        return own
    shop = shop_at_hand()
    found = [shop.calibration_of(member) for member in lacking.values()]
    return (*(fitted(record) for record in found if record is not None), *own)


def fitted(record: CalibrationRecord) -> Calibration:
    """What kept samples say, under the die and batch that they are kept for."""
    return fit_calibration(replace(record.samples, die=record.die, batch=record.batch, date=record.date))


def _has(calibrations: tuple[Calibration, ...], member: Member) -> bool:
    return any(one.die == member.die and same_tube(one.tube, member.tube) for one in calibrations)


def as_bent(folder: ProjectFolder, cage: Cage) -> Cage:
    """The cage with the finished radius of every bent member whose die and tube are calibrated.

    Nodes stay; what is measured along the bends is then the bar that the sheets make.
    """
    calibrations = calibrations_at_hand(folder, cage.members)
    members = []
    for member in cage.members:
        found = calibration_for(calibrations, member, placeholder=True)
        radius = found.clr_mm if found.calibrated and found.clr_mm is not None else member.clr_mm
        members.append(replace(member, clr_mm=radius))
    return replace(cage, members=tuple(members))


def calibration_for(
    calibrations: tuple[Calibration, ...], member: Member, *, placeholder: bool
) -> Calibration:
    """The calibration of a member's die and tube: the one that was kept last.

    Args:
        calibrations: Those at hand.
        member: The member.
        placeholder: Whether a sheet stamped "not calibrated" is wanted where there is none.

    Raises:
        UserError: `CAL-010` when there is none and no placeholder is wanted.
    """
    for one in reversed(calibrations):
        with contextlib.suppress(UserError):
            return match_calibration((one,), tube=member.tube, die=member.die)
    try:
        return match_calibration(calibrations, tube=member.tube, die=member.die)
    except UserError:
        if not placeholder:
            raise
        return placeholder_calibration(member.tube, member.clr_mm, die=member.die)
