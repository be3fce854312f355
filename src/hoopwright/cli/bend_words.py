"""How `hoopwright bend` says where a bar stands."""

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text
from hoopwright.findings import Verdict

if TYPE_CHECKING:
    from hoopwright.bender.rescue.outcome import Outcome
    from hoopwright.bender.rescue.solve_again import Check, Rescue
    from hoopwright.bender.rescue.standing import Asked, Standing
    from hoopwright.jobs.bend_answers import Bending


def as_words(made: "Bending") -> str:
    """Where a bar stands, and the one thing that is asked."""
    now, lines = made.standing, [head(made)]
    if made.counted_before:
        lines.append("this was counted before; nothing was added")
    lines += last_said(made)
    if made.asked is not None:
        lines += [text for _, text in numbers(made.asked)]
        lines.append("then type what it reads after release: --reading")
    elif now.phase == "scrapped":
        lines.append("the stick is scrapped; another is begun with --again")
    elif made.rescue is not None:
        lines += rescue_lines(now, made.rescue)
        done = "say --decide 'go on' or --decide scrap"
        lines += [done] if now.phase == "decide" else [*bent_lines(made), *taped_lines(made)]
    return "\n".join(lines)


def head(made: "Bending") -> str:
    """Bar, sheet and place."""
    started, now = made.standing.started, made.standing
    steps = len(started.job.feeds)
    where = {
        "bend": f"step {now.step} of {steps}",
        "add": f"step {now.step} of {steps}, add",
        "decide": f"{len(now.finished)} of {steps} bends made, to be decided",
        "done": "bent",
        "scrapped": "scrapped",
    }[now.phase]
    stick = "" if started.stick == 1 else f", stick {started.stick}"
    return f"{started.bar_id} revision {started.revision}{stick}: {where} (number {now.records})"


def last_said(made: "Bending") -> list[str]:
    """What the last reading meant."""
    now = made.standing
    if not now.taken:
        return []
    last = now.taken[-1]
    bend = now.started.job.feeds[last.reading.step - 1].bend
    off = last.reading.released_deg - last.target_deg
    text = f"bend {bend} reads {last.reading.released_deg:.2f}°, {last.target_deg:.2f}° wanted: "
    more = made.asked
    if now.phase == "add" and more is not None:
        to = "" if more.command_deg is None else f", to {more.command_deg:.2f}° under load"
        return [f"{text}{-off:.2f}° under, add {more.add_deg:.1f}°{to}"]
    way = "within the band" if abs(off) <= now.started.bands.angle_deg else "over" if off > 0 else "under"
    return [text + (way if way == "within the band" else f"{abs(off):.2f}° {way}"), *made.strays]


def numbers(step: "Asked") -> Iterator[tuple[str, str]]:
    """The numbers of the step, one after the other: its name and what to do."""
    if step.add_deg is None:
        if step.turn_end_for_end:
            yield "end", "turn the tube end for end"
        yield "mark", _mark_words(step)
        if step.turn_deg is not None:
            yield "turn", _turn_words(step)
    if step.command_deg is None:
        more = "" if step.add_deg is None else f", {step.add_deg:.2f}° more than the last time"
        yield "pull", f"pull for {step.target_deg:.2f}° after release{more}; no springback line is known"
    else:
        more = "" if step.add_deg is None else f" ({step.add_deg:.2f}° more than the last time)"
        yield "pull", f"pull to {step.command_deg:.2f}° under load{more}; {step.target_deg:.2f}° is wanted"


def _mark_words(step: "Asked") -> str:
    moved = step.mark_mm - step.sheet_mark_mm
    anew = "" if abs(moved) < 0.05 else f": mark it anew, {moved:+.1f} mm from where the sheet has it"
    return (
        f"mark of bend {step.feed.bend} at {step.mark_mm:.1f} mm from end A ({step.mark_from_b_mm:.1f} from end B)"
        f"{anew}; end {step.feed.fed_from} leads"
    )


def _turn_words(step: "Asked") -> str:
    turn = step.turn_deg or 0.0
    if abs(turn) < 0.05:
        text = f"do not turn the tube: bend {step.turn_from_bend} stays level"
    else:
        way = "clockwise" if turn > 0 else "anticlockwise"
        text = f"turn the tube {abs(turn):.1f}° {way} from bend {step.turn_from_bend}, seen from the tail"
    return text if step.leg_hour is None else f"{text}; its leg points to {step.leg_hour:.1f} o'clock"


def rescue_lines(now: "Standing", rescue: "Rescue") -> list[str]:
    """What the bends made cost, and what those to come can save."""
    first = "carrying on as planned" if rescue.open_bends else "as bent"
    rows = [_outcome_row(first, rescue.carried_on)]
    if rescue.open_bends:
        rows.append(_outcome_row("bends to come solved again", rescue.solved))
    heads = [
        "",
        "end A off mm",
        "end B off mm",
        "bar off mm",
        "least gap mm",
        "at forward, left, up",
        "cut A",
        "cut B",
    ]
    lines = [table_text(heads, rows)]
    if rescue.drawn_least is not None:
        lines.append(_lost(rescue.drawn_least.gap_mm, rescue.solved))
    lines += [
        f"  bend {bend}: {rescue.solved.settings.angles_deg[bend - 1]:.2f}° instead of "
        f"{now.plan.angles_deg[bend - 1]:.2f}°, mark {rescue.solved.settings.marks_mm[bend - 1]:.1f} instead of "
        f"{now.plan.marks_mm[bend - 1]:.1f} mm" + _turned(now, rescue, bend)
        for bend in rescue.open_bends
    ]
    lines += [_check_line(check) for check in rescue.checks]
    if now.phase == "decide":
        good = "every limit that was checked is met: 'go on' is proposed"
        lines.append(good if rescue.within_limits else "a limit is not met: 'scrap' is proposed")
    return lines


def bent_lines(made: "Bending") -> list[str]:
    """The bar as bent."""
    assert made.rescue is not None  # noqa: S101
    bent = made.rescue.carried_on
    rows = [[str(k + 1), *(f"{value:.1f}" for value in node)] for k, node in enumerate(bent.nodes_mm or ())]
    lines = [
        f"cut {bent.trim_a_mm:.1f} mm off end A and {bent.trim_b_mm:.1f} mm off end B",
        "as bent, laid in the car as well as it goes:",
    ]
    return [*lines, table_text(["node", "forward mm", "left mm", "up mm"], rows)]


def taped_lines(made: "Bending") -> list[str]:
    """What to tape on the finished bar, and what was taped."""
    rows = []
    for one in made.distances:
        got = None if one.taped is None else one.taped.measured_mm
        told = ["", ""] if got is None else [f"{got:.1f}", f"{got - one.drawn_mm:+.1f}"]
        rows.append([f"{one.key}: {one.words}", f"{one.drawn_mm:.1f}", *told])
    if not rows:
        return []
    todo = (
        "type what the tape reads: --taped 'feet 1266'; 'hoopwright asbent' then says how the bends came out"
    )
    return [table_text(["tape on the finished bar", "should be mm", "taped mm", "off mm"], rows), todo]


def as_keys(made: "Bending", project: Path) -> dict[str, Any]:
    """Where a bar stands, as JSON carries it."""
    now, started = made.standing, made.standing.started
    step = made.asked
    return {
        "bar_id": started.bar_id,
        "revision": started.revision,
        "identity": started.identity,
        "stick": started.stick,
        "number": now.records,
        "phase": now.phase,
        "step": now.step,
        "steps": len(started.job.feeds),
        "ask": None if step is None else {**asdict(step), **asdict(step.feed)},
        "made": [asdict(one) for one in now.made],
        "rescue": None if made.rescue is None else _rescue_keys(made.rescue),
        "as_bent": _bent_keys(made),
        "distances": [
            {
                "key": one.key,
                "words": one.words,
                "drawn_mm": one.drawn_mm,
                "taped_mm": None if one.taped is None else one.taped.measured_mm,
                "at": None if one.taped is None else one.taped.at,
            }
            for one in made.distances
        ],
        "log": list(made.log),
        "file": str(made.stick.file.relative_to(project)),
        "counted_before": made.counted_before,
    }


def _rescue_keys(rescue: "Rescue") -> dict[str, Any]:
    return {
        "carried_on": asdict(rescue.carried_on),
        "solved": asdict(rescue.solved),
        "open_bends": list(rescue.open_bends),
        "drawn_least": None if rescue.drawn_least is None else asdict(rescue.drawn_least),
        "checks": [asdict(check) | {"verdict": check.verdict.value} for check in rescue.checks],
        "within_limits": rescue.within_limits,
    }


def _bent_keys(made: "Bending") -> dict[str, Any] | None:
    if made.standing.phase != "done" or made.rescue is None:
        return None
    bent = made.rescue.carried_on
    return {"nodes_mm": bent.nodes_mm, "trim_a_mm": bent.trim_a_mm, "trim_b_mm": bent.trim_b_mm}


def _outcome_row(name: str, one: "Outcome") -> list[str]:
    gap, place = "not checked", ""
    if one.least is not None:
        gap = f"{one.least.gap_mm:.1f}"
        place = ", ".join(f"{value:.0f}" for value in one.least.place_mm)
    trims = (f"{one.trim_a_mm:.1f}", f"{one.trim_b_mm:.1f}")
    return [name, f"{one.miss_a_mm:.1f}", f"{one.miss_b_mm:.1f}", f"{one.off_mm:.1f}", gap, place, *trims]


def _lost(drawn_mm: float, solved: "Outcome") -> str:
    if solved.least is None:
        return f"worst gap as drawn {drawn_mm:.1f} mm"
    lost = drawn_mm - solved.least.gap_mm
    return (
        f"worst gap {solved.least.gap_mm:.1f} mm, {abs(lost):.1f} mm {'less' if lost > 0 else 'more'} than drawn "
        f"({drawn_mm:.1f} mm)"
    )


def _turned(now: "Standing", rescue: "Rescue", bend: int) -> str:
    was, will = now.plan.totals_deg[bend - 1], rescue.solved.settings.totals_deg[bend - 1]
    return "" if abs(was - will) < 0.05 else f", plane {will:.1f}° instead of {was:.1f}° against bend 1"


def _check_line(check: "Check") -> str:
    if check.value_mm is None:
        return f"  {check.name}: not checked"
    words = {Verdict.PASS: "meets", Verdict.FAIL: "does not meet"}
    way = "at most" if check.at_most else "at least"
    return f"  {check.name}: {check.value_mm:.1f} mm {words[check.verdict]} the limit of {way} {check.limit_mm:.4g} mm"
