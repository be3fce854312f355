"""Where a bar stands at the bender, and what is asked next."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from hoopwright.bender.bend_job import BendSettings
from hoopwright.bender.order import Feed
from hoopwright.bender.poses import leg_clock, reference_bend, turn_tube_deg
from hoopwright.bender.rescue.reading import Judged, judge_reading
from hoopwright.bender.rescue.records import Reading, Started, Taped
from hoopwright.bender.rescue.solve_again import Made
from hoopwright.geometry import wrap_deg

Phase = Literal["bend", "add", "decide", "done", "scrapped"]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A reading with what was asked when it was taken.

    Args:
        record: Number of its record, from 1.
        reading: The reading, as it was last corrected.
        asked_deg: What was asked to be read under load; None without a springback line.
        target_deg: Released angle that was wanted.
        again: How often the bend had been read before.
    """

    record: int
    reading: Reading
    asked_deg: float | None
    target_deg: float
    again: int

    @property
    def load_deg(self) -> float | None:
        """Angle under load: as it was read, else as it was asked; None where neither is known."""
        return self.asked_deg if self.reading.command_deg is None else self.reading.command_deg


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Where a bar stands.

    Args:
        started: What its sheet said.
        plan: The settings in force.
        taken: Every reading in the order of the records.
        finished: The last reading of each step that is finished.
        pending: A reading that was under: the bend is still in the machine.
        must_decide: Whether a person has to say `go on` or `scrap`.
        scrapped: Whether the stick was scrapped.
        records: How many records there are: the number that a device shows and sends back.
        bend_record: Number of the last record that tells of bends; taped distances after it change nothing of them.
        taped: The last distance of each name that was taped since the bar was last bent, in the order of the names.
    """

    started: Started
    plan: BendSettings
    taken: tuple[Taken, ...] = ()
    finished: tuple[Taken, ...] = ()
    pending: Taken | None = None
    must_decide: bool = False
    scrapped: bool = False
    records: int = 1
    bend_record: int = 1
    taped: tuple[Taped, ...] = ()

    @property
    def phase(self) -> Phase:
        """What is asked now."""
        if self.scrapped:
            return "scrapped"
        if self.must_decide:
            return "decide"
        if self.pending is not None:
            return "add"
        return "done" if len(self.finished) == len(self.started.job.feeds) else "bend"

    @property
    def step(self) -> int:
        """Place in the order of the bend that is asked for, or that was made last where all are."""
        return min(len(self.finished) + 1, len(self.started.job.feeds))

    @property
    def made(self) -> tuple[Made, ...]:
        """Finished bends as they came out, in the order made."""
        made: list[Made] = []
        for one in self.finished:
            made.append(_as_made(self, one, made))
        return tuple(made)

    @property
    def made_so_far(self) -> tuple[Made, ...]:
        """The same with the bend that is still in the machine, as it is now."""
        made = list(self.made)
        return tuple(made) if self.pending is None else (*made, _as_made(self, self.pending, made))


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One bend as it is asked for.

    Args:
        feed: Bend and end that leads.
        turn_end_for_end: Whether the tube is turned end for end first.
        mark_mm: Mark at the die face, from the end of the tube at A.
        mark_from_b_mm: The same from the end at B.
        sheet_mark_mm: Where the sheet has it, from the end at A: the tube may be marked there.
        turn_deg: How far to turn the tube, as the sheet signs it; None for the first bend made.
        turn_from_bend: The finished bend that the turn counts from.
        leg_hour: Where the leg beyond that bend then points, as the hour on a clock seen from the tail; None where
            nothing on the leading side is bent.
        target_deg: Released angle that is wanted.
        command_deg: What to read under load; None without a springback line.
        add_deg: How much of it is more than the last time; None for a bend that is begun.
    """

    feed: Feed
    turn_end_for_end: bool
    mark_mm: float
    mark_from_b_mm: float
    sheet_mark_mm: float
    turn_deg: float | None
    turn_from_bend: int | None
    leg_hour: float | None
    target_deg: float
    command_deg: float | None
    add_deg: float | None = None


def asked(now: Standing, step: int | None = None) -> Asked:
    """What is asked of a step, the present one unless another is named."""
    place = now.step if step is None else step
    job, feed = now.started.job, now.started.job.feeds[place - 1]
    reference, leads = reference_bend(feed, [earlier.bend for earlier in job.feeds[: place - 1]])
    turn = None if reference is None else turn_tube_deg(feed, reference, now.plan.totals_deg)
    target, mark = now.plan.angles_deg[feed.bend - 1], now.plan.marks_mm[feed.bend - 1]
    plain = Asked(
        feed=feed,
        turn_end_for_end=place > 1 and job.feeds[place - 2].fed_from != feed.fed_from,
        mark_mm=mark,
        mark_from_b_mm=job.blank_mm - mark,
        sheet_mark_mm=now.started.plan.marks_mm[feed.bend - 1],
        turn_deg=turn,
        turn_from_bend=reference,
        leg_hour=None if turn is None or not leads else leg_clock(turn, now.started.swings),
        target_deg=target,
        command_deg=command_for(now.started, target),
    )
    if now.pending is None or now.pending.reading.step != place:
        return plain
    judged = judge(now, now.pending)
    return replace(plain, command_deg=judged.command_deg, add_deg=judged.add_deg)


def command_for(started: Started, target_deg: float) -> float | None:
    """What to read under load for a wanted angle; None without a springback line."""
    line = started.line
    return None if line is None else (target_deg + line.constant_deg) / (1.0 - line.per_command_deg)


def judge(now: Standing, taken: Taken) -> Judged:
    """What a reading means against the plan in force."""
    bend = now.started.job.feeds[taken.reading.step - 1].bend
    return judge_reading(
        taken.reading.released_deg,
        now.plan.angles_deg[bend - 1],
        band_deg=now.started.bands.angle_deg,
        line=now.started.line,
        last_command_deg=taken.load_deg,
        die_reach_deg=now.started.die_reach_deg,
    )


def strays(now: Standing, taken: Taken) -> tuple[str, ...]:
    """Turn and mark of a reading that are farther off than their bands, in words."""
    wanted, reading, bands = asked(now, taken.reading.step), taken.reading, now.started.bands
    found = []
    if reading.turned_deg is not None and wanted.turn_deg is not None:
        off = wrap_deg(reading.turned_deg - wanted.turn_deg)
        if abs(off) > bands.turn_deg:
            found.append(
                f"the tube was turned {reading.turned_deg:.1f}° instead of {wanted.turn_deg:.1f}° (clockwise positive)"
            )
    if reading.mark_mm is not None and abs(reading.mark_mm - wanted.mark_mm) > bands.mark_mm:
        found.append(f"the mark was at {reading.mark_mm:.1f} mm instead of {wanted.mark_mm:.1f} mm")
    return tuple(found)


def _as_made(now: Standing, one: Taken, earlier: Sequence[Made]) -> Made:
    """A reading as a bend made: its plane counts from the finished bend that the turn counted from."""
    wanted, job = asked(now, one.reading.step), now.started.job
    bend = job.feeds[one.reading.step - 1].bend
    total = now.plan.totals_deg[bend - 1]
    if wanted.turn_from_bend is not None:
        reference = next(made for made in earlier if made.bend == wanted.turn_from_bend)
        turn = wanted.turn_deg if one.reading.turned_deg is None else one.reading.turned_deg
        between = (turn or 0.0) * (1.0 if wanted.feed.fed_from == "A" else -1.0)
        total = wrap_deg(reference.total_deg + between)
    return Made(
        bend=bend,
        released_deg=one.reading.released_deg,
        total_deg=total,
        mark_mm=now.plan.marks_mm[bend - 1] if one.reading.mark_mm is None else one.reading.mark_mm,
    )
