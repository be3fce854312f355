"""Bends that were logged at the bender, and the list of them as it can be learnt from."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from hoopwright.bender.samples import LARGEST_COMMAND_DEG
from hoopwright.findings import Finding, Severity, UserError

GAUGE_NOISE_DEG = 0.5
"""So far a shallow bend may read more after release than under load, by the gauge alone."""
_MOST_NAMED = 8
_NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class BendReading:
    """One bend of a bar or a sample, as it was read.

    Args:
        key: What the bend is known by, the same in every list.
        time: When it was bent, ISO 8601; may be empty.
        batch: Tube batch or heat number; may be empty.
        command_deg: What the gauge read under load.
        released_deg: Change of direction that was left after release.
    """

    key: str
    time: str
    batch: str
    command_deg: float
    released_deg: float


@dataclass(frozen=True, kw_only=True)
class BendLog:
    """Bends in order of time, each once.

    Args:
        listed: As they were logged.
        bends: What can be learnt from.
        findings: What was wrong with the list.
    """

    listed: tuple[BendReading, ...]
    bends: tuple[BendReading, ...]
    findings: tuple[Finding, ...] = ()


def tidy_log(bends: Iterable[BendReading], *, die_reach_deg: float = LARGEST_COMMAND_DEG) -> BendLog:
    """The bends each once and in order of time; nothing is dropped without being said.

    Args:
        bends: As they were logged.
        die_reach_deg: Greatest angle that the die reaches under load.

    Raises:
        UserError: `LEARN-003` for readings that no bend can give, naming them.
    """
    listed = tuple(bends)
    problems = tuple(problem for bend in listed for problem in _impossible(bend, die_reach_deg))
    if problems:
        rest = len(problems) - _MOST_NAMED
        raise UserError(*problems[:_MOST_NAMED], *((_and_more(rest),) if rest > 0 else ()))
    once, repeats = _each_once(listed)
    ordered, disorder = _in_time(once)
    return BendLog(
        listed=listed,
        bends=ordered,
        findings=(*repeats, *disorder, *_beyond_command(ordered), *_unnamed(ordered), *_alike(ordered)),
    )


def _impossible(bend: BendReading, die_reach_deg: float) -> Iterator[Finding]:
    for name, value in (("under load", bend.command_deg), ("after release", bend.released_deg)):
        why = None
        if not math.isfinite(value):
            why, limit = "it is not a number", die_reach_deg
        elif value <= 0.0:
            why, limit = "it must be more than 0", 0.0
        elif value > die_reach_deg:
            why, limit = f"the die reaches {die_reach_deg:g}°", die_reach_deg
        if why is not None:
            yield _stop(bend, f"{value:g}° {name} cannot be: {why}", value, limit)
            return
    if bend.released_deg > bend.command_deg + GAUGE_NOISE_DEG:
        what = (
            f"{bend.released_deg:g}° after release is more than the {bend.command_deg:g}° under load; a tube "
            "springs back, never on"
        )
        yield _stop(bend, what, bend.released_deg - bend.command_deg, GAUGE_NOISE_DEG)

    if bend.time and _moment(bend.time) is None:
        yield Finding(
            code="LEARN-003",
            severity=Severity.STOP,
            sentence=f"Bend '{bend.key}': '{bend.time[:40]}' is no time.",
            todo="Write times as 2026-03-14T15:30, or days as 2026-03-14.",
            objects=(bend.key,),
        )


def _moment(time: str) -> datetime | None:
    """The time as it can be compared; one without a zone is taken as it stands."""
    try:
        moment = datetime.fromisoformat(time.strip())
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)


def _stop(bend: BendReading, what: str, measured: float, limit: float) -> Finding:
    return Finding(
        code="LEARN-003",
        severity=Severity.STOP,
        sentence=f"Bend '{bend.key}': {what}.",
        todo="Correct that row of the log: are the two angles exchanged, or is one the included angle?",
        objects=(bend.key,),
        measured=measured if math.isfinite(measured) else None,
        limit=limit,
        unit="deg",
    )


def _and_more(rest: int) -> Finding:
    return Finding(
        code="LEARN-003",
        severity=Severity.STOP,
        sentence=f"{rest} more rows of the log cannot be.",
        todo="Correct those above first.",
    )


def _each_once(bends: Sequence[BendReading]) -> tuple[list[BendReading], list[Finding]]:
    """Bends by key: the same numbers twice are one bend, other numbers under one key are none."""
    by_key: dict[str, list[BendReading]] = defaultdict(list)
    for bend in bends:
        by_key[bend.key].append(bend)
    once, findings = [], []
    for key, same in by_key.items():
        if len({(one.batch, one.command_deg, one.released_deg) for one in same}) == 1:
            once.append(same[0])
            continue
        listed = ", ".join(f"{one.command_deg:g} to {one.released_deg:g}°" for one in same[:4])
        findings.append(
            Finding(
                code="LEARN-004",
                sentence=f"Bend '{key}' is logged {len(same)} times with other numbers or batches ({listed}); "
                "nothing is learnt from it.",
                todo="Leave the right row, or give each bend its own key.",
                objects=(key,),
            )
        )
    return once, findings


def _in_time(bends: Sequence[BendReading]) -> tuple[tuple[BendReading, ...], list[Finding]]:
    """In order of time where all have one; as listed where one has none, since then the list is all there is."""
    if not all(bend.time for bend in bends):
        missing = [bend.key for bend in bends if not bend.time]
        findings = [] if len(missing) == len(bends) else [_without_time(missing)]
        return tuple(bends), findings
    moments = [_moment(bend.time) or _NEVER for bend in bends]
    pairs = zip(bends[1:], moments[:-1], moments[1:], strict=True)
    back = [bend.key for bend, before, after in pairs if after < before]
    order = sorted(range(len(bends)), key=moments.__getitem__)
    return tuple(bends[index] for index in order), [_backwards(back)] if back else []


def _without_time(keys: Sequence[str]) -> Finding:
    return Finding(
        code="LEARN-005",
        sentence=f"{len(keys)} bends have no time ({_some(keys)}); all are taken in the order of the list.",
        todo="Add the times, or see that the list is in order: a drift is looked for along it.",
        objects=tuple(keys[:_MOST_NAMED]),
    )


def _backwards(keys: Sequence[str]) -> Finding:
    return Finding(
        code="LEARN-005",
        sentence=f"Times go backwards at {_some(keys)}; the bends are taken in order of time.",
        todo="Was the clock wrong, or were two lists joined? A drift is looked for along the times.",
        objects=tuple(keys[:_MOST_NAMED]),
    )


def _beyond_command(bends: Sequence[BendReading]) -> Iterator[Finding]:
    keys = [bend.key for bend in bends if bend.released_deg > bend.command_deg]
    if keys:
        yield Finding(
            code="LEARN-006",
            sentence=f"{len(keys)} bends read more after release than under load, by up to {GAUGE_NOISE_DEG:g}° "
            f"({_some(keys)}); taken as the scatter of the gauge.",
            todo="Was the gauge zeroed before the slack was taken up?",
            objects=tuple(keys[:_MOST_NAMED]),
            limit=GAUGE_NOISE_DEG,
            unit="deg",
        )


def _unnamed(bends: Sequence[BendReading]) -> Iterator[Finding]:
    keys = [bend.key for bend in bends if not bend.batch]
    if keys:
        yield Finding(
            code="LEARN-007",
            sentence=f"{len(keys)} bends name no batch ({_some(keys)}); they are taken as one batch, so that a new "
            "one among them cannot be noticed.",
            todo="Log the heat number, or any name that changes with the delivery.",
            objects=tuple(keys[:_MOST_NAMED]),
        )


def _alike(bends: Sequence[BendReading]) -> Iterator[Finding]:
    """Names that differ by capitals, blanks and dashes only."""
    spelt: dict[str, dict[str, None]] = defaultdict(dict)
    for bend in bends:
        spelt["".join(filter(str.isalnum, bend.batch)).casefold() or bend.batch][bend.batch] = None
    for names in spelt.values():
        if len(names) > 1:
            yield Finding(
                code="LEARN-015",
                sentence=f"{' and '.join(map(repr, names))} are taken as {len(names)} batches.",
                todo="Write the name of a batch in one way if they are the same.",
                objects=tuple(names),
            )


def _some(keys: Sequence[str]) -> str:
    listed = ", ".join(keys[:3])
    return f"{listed} and {len(keys) - 3} more" if len(keys) > 3 else listed
