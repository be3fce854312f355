"""The shop's log as a person looks it through: each bend with whether it counts, the last first."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bender import LoggedBend
from hoopwright.jobs.logs import LogFilter, logged
from hoopwright.store.shop_place import shop_place

LogState = Literal["counts", "corrected since", "taken back"]


@dataclass(frozen=True, kw_only=True)
class LogRow:
    """A bend of the log.

    Args:
        bend: As it was logged.
        state: Whether it counts.
        later: The record that took its place or took it back; None where it counts.
    """

    bend: LoggedBend
    state: LogState
    later: LoggedBend | None


def log_rows(wanted: LogFilter, where: str | None = None) -> tuple[LogRow, ...]:
    """Bends of the log, the last first; none where there is no shop yet.

    A record that only takes another back is no bend: it stands with the one that it took back.

    Args:
        wanted: Which bends; with `last` only so many.
        where: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read, or that is named and not there.
    """
    place = shop_place(where)
    if place is None or (where is None and not place.is_there):
        return ()
    every = logged(where, LogFilter(**{**vars(wanted), "every": True, "last": None}))
    later = {bend.corrects: bend for bend in every if bend.corrects}
    rows = [
        LogRow(bend=bend, state=_state(later.get(bend.key)), later=later.get(bend.key))
        for bend in reversed(every)
        if bend.counts
    ]
    found = tuple(row for row in rows if wanted.every or row.state == "counts")
    return found if wanted.last is None else found[: wanted.last]


def _state(later: LoggedBend | None) -> LogState:
    if later is None:
        return "counts"
    return "corrected since" if later.counts else "taken back"
