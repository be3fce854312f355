"""Whether bars meet where they should, and nowhere else."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.bars import check_shape
from hoopwright.cage import Cage, Clash, EndLetter, EndMeeting, bars_of, clashes, end_meetings
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.findings import Finding, Verdict, stopping
from hoopwright.jobs.rows import CheckRow
from hoopwright.joints.cope import meeting
from hoopwright.joints.cope.cautions import SHARP_DEG, sharp
from hoopwright.joints.meet import CutWishes
from hoopwright.joints.meet.cut_one import branch_of, header_of
from hoopwright.joints.meet.solid_tube import SolidTube


def meeting_checks(cage: Cage, only: Sequence[str]) -> tuple[list[CheckRow], list[Finding]]:
    """Ends against the bars that they land on, and bars against bars; bars that cannot be are not checked."""
    broken = [name for name, bar in bars_of(cage).items() if stopping(check_shape(bar))]
    if broken:
        row = CheckRow(
            about="cage",
            check="bars meet",
            verdict=Verdict.NOT_CHECKED,
            where=f"{', '.join(broken)} cannot be bent",
        )
        return [row], []
    ends = [end for end in end_meetings(cage) if end.bar_id in only or end.on in only]
    sharp_rows, sharp_findings = _sharp_ends(cage, ends)
    through = [clash for clash in clashes(cage) if clash.first in only or clash.second in only]
    rows = [
        CheckRow(
            about=end.bar_id,
            check=f"end {end.end} meets {end.on}",
            verdict=Verdict.PASS if end.meets else Verdict.FAIL,
            measured=end.apart_mm,
            limit=MEETS_MM,
            unit="mm",
            alike="ends meet the bars that they land on",
        )
        for end in ends
    ]
    rows += [
        CheckRow(
            about=clash.first,
            check=f"keeps off {clash.second}",
            verdict=Verdict.FAIL,
            measured=-clash.overlap_mm,
            limit=0.0,
            unit="mm",
        )
        for clash in through
    ]
    rows += sharp_rows
    loose = [loose_end(end) for end in ends if not end.meets]
    return rows, [*loose, *map(_through, through), *sharp_findings]


def _sharp_ends(cage: Cage, ends: Sequence[EndMeeting]) -> tuple[list[CheckRow], list[Finding]]:
    """Ends that meet the bar that they land on at under 30°; the whole of a joint is for `hoopwright joints`."""
    solids = {name: SolidTube(bar) for name, bar in bars_of(cage).items()}
    rows, findings = [], []
    for end in ends:
        letter: EndLetter = "A" if end.end == "A" else "B"
        branch, header = branch_of(solids[end.bar_id], letter), header_of(solids[end.on], CutWishes())
        met = meeting(branch, header)
        if end.meets and met.angle_deg < SHARP_DEG:
            findings.append(replace(sharp(branch, header, met), point_mm=end.place_mm))
            rows.append(
                CheckRow(
                    about=end.bar_id,
                    check=f"end {end.end} angle on {end.on}",
                    verdict=Verdict.FAIL,
                    measured=met.angle_deg,
                    limit=SHARP_DEG,
                    unit="deg",
                )
            )
    return rows, findings


def loose_end(end: EndMeeting) -> Finding:
    """The finding for an end that does not reach its bar."""
    return Finding(
        code="CHECK-007",
        sentence=f"Bar {end.bar_id}: end {end.end} is {end.apart_mm:.0f} mm off the axis of {end.on}, which it "
        f"should land on (within {MEETS_MM:g} mm).",
        todo=f"Move the end, or {end.on} back.",
        objects=(end.bar_id, end.on),
        point_mm=end.place_mm,
        measured=end.apart_mm,
        limit=MEETS_MM,
        unit="mm",
    )


def _through(clash: Clash) -> Finding:
    return Finding(
        code="CHECK-008",
        sentence=f"Bars {clash.first} and {clash.second} run {clash.overlap_mm:.0f} mm into each other away from "
        "their ends.",
        todo="Cut one of them there into two bars that end on the other, or move one.",
        objects=(clash.first, clash.second),
        point_mm=clash.place_mm,
        measured=-clash.overlap_mm,
        limit=0.0,
        unit="mm",
    )
