"""What a phone reckons without a network, against what the workbench makes of the same."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from tests.web.phones import AT

from hoopwright.bender.rescue.reading import judge_reading
from hoopwright.bender.rescue.records import Correction, Decision, Reading, Taped, Withdrawal
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.solve_again import with_made
from hoopwright.bender.rescue.standing import asked
from hoopwright.jobs.bend_answers import look
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.screen import files

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not (files.BUILT / "index.js").is_file(), reason="the bundle is not built"),
]


def test_the_phone_judges_as_the_workbench_does(phone):
    """The same readings through `judge.ts` and through `judge_reading`."""
    phone.open()
    chance = np.random.default_rng(7)
    line = SimpleNamespace(per_command_deg=0.0301)  # all that is read of the line
    cases = []
    for _ in range(300):
        target, band = float(chance.uniform(2.0, 120.0)), float(chance.choice([0.0, 0.3, 1.0]))
        released = target + float(chance.choice([0.0, band, -band, *chance.normal(0.0, 1.5, 3)]))
        load = None if chance.random() < 0.2 else released + float(chance.uniform(0.0, 5.0))
        cases.append((released, target, band, None if chance.random() < 0.2 else 0.0301, load, 110.0))
    told = phone.page.evaluate("(cases) => cases.map((one) => window.hoopwrightBend.judge(...one))", cases)
    for (released, target, band, per, load, reach), ours in zip(cases, told, strict=True):
        theirs = judge_reading(
            released,
            target,
            band_deg=band,
            line=None if per is None else line,
            last_command_deg=load,
            die_reach_deg=reach,
        )
        assert ours["answer"] == theirs.answer
        assert ours["add_deg"] == (None if theirs.add_deg is None else pytest.approx(theirs.add_deg))
        assert ours["command_deg"] == (
            None if theirs.command_deg is None else pytest.approx(theirs.command_deg)
        )


def test_the_phone_doubts_what_the_workbench_refuses(phone, hoop_server):
    """Readings that the workbench refuses with BEND-001 or BEND-009 are doubted before they are kept."""
    from hoopwright.bender.rescue.refusals import refuse_reading
    from hoopwright.findings import UserError

    phone.open()
    now = look(ProjectFolder(path=hoop_server.project), "MH", BendWishes(at=AT, solve=False)).standing
    chance = np.random.default_rng(8)
    for _ in range(150):
        given = {"released_deg": float(chance.uniform(-5.0, 30.0))}
        if chance.random() < 0.5:
            given["command_deg"] = float(chance.uniform(-5.0, 40.0))
        if chance.random() < 0.5:
            given["mark_mm"] = float(chance.uniform(400.0, 800.0))
        ours = phone.page.evaluate(
            """(given) => { const {bar, state} = window.hoopwrightBend.app.sync;
               return window.hoopwrightBend.doubt(bar, bar.steps[0], null, bar.steps[0].command_deg, given); }""",
            given,
        )
        try:
            refuse_reading(now, Reading(step=1, at=AT, key="x", **given))
            theirs = ""
        except UserError as error:
            theirs = error.findings[0].code
        assert ours == theirs, given


def test_the_phone_reckons_a_whole_session_as_the_records_do(phone, hoop_server):
    """Random sessions without a network: readings, corrections, decisions, takings back, against `standing`."""
    phone.open()
    started = look(
        ProjectFolder(path=hoop_server.project), "MH", BendWishes(at=AT, solve=False)
    ).stick.records[0]
    chance = np.random.default_rng(9)
    for _ in range(25):
        records_made, ops = sessions(started, chance)
        theirs = standing(records_made)
        ours = phone.page.evaluate(
            "(ops) => window.hoopwrightBend.withQueue(window.hoopwrightBend.app.sync.bar, ops)", ops
        )
        said = [op["sent"] for op in ops]
        assert (ours["phase"], ours["step"]) == (theirs.phase, theirs.step), said
        assert ours["number"] == theirs.records, said
        assert ours["bend_record"] == theirs.bend_record, said
        assert [(one["name"], one["measured_mm"]) for one in ours["taped"]] == [
            (one.name, one.measured_mm) for one in theirs.taped
        ], said
        assert [one["released_deg"] for one in ours["taken"]] == [
            one.reading.released_deg for one in theirs.taken
        ]
        counting = [one["record"] for one in ours["taken"] if one["counts"]]
        assert counting == [one.record for one in theirs.finished], said
        if theirs.phase == "add":
            more = asked(theirs)
            assert ours["pending"]["command_deg"] == pytest.approx(more.command_deg), said
            assert ours["pending"]["add_deg"] == pytest.approx(more.add_deg), said


def sessions(started, chance):
    """Records of one session, and the same as a phone would have sent them."""
    made, ops = [started], []
    can_take_back = False
    for number in range(int(chance.integers(1, 18))):
        now = standing(made)
        sent, record = None, None
        last = now.taken[-1] if now.taken else None
        if now.phase == "done" and chance.random() < 0.7:
            name, value = str(chance.choice(["feet", "knees"])), round(float(chance.normal(1300.0, 3.0)), 1)
            over = next((one.key for one in now.taped if one.name == name), "")
            sent = {"what": "distance", "name": name, "measured_mm": value, "over": over}
            record = Taped(name=name, measured_mm=value, at=AT, key="k")
        elif can_take_back and chance.random() < 0.25:
            if chance.random() < 0.3:
                sent, record = (
                    {"what": "taking-back", "of": last.record},
                    Withdrawal(of=last.record, reason="", at=AT, key="k"),
                )
            else:
                value = round(float(last.target_deg + chance.normal(0.0, 0.6)), 1)
                mended = replace(last.reading, released_deg=value)
                sent = {"what": "correction", "of": last.record, "released_deg": value}
                record = Correction(of=last.record, reading=mended, reason="", at=AT, key="k")
        elif now.phase == "decide" or (now.phase == "add" and chance.random() < 0.2):
            plan = with_made(now.plan, now.made_so_far)
            sent = {"what": "decision", "go_on": True, "as_planned": True}
            record = Decision(choice="go on", plan=plan, worst_miss_mm=0.0, least_gap_mm=None, at=AT, key="k")
        elif now.phase in ("bend", "add"):
            wanted = asked(now)
            value = round(float(wanted.target_deg + chance.normal(-0.1, 0.5)), 1)
            sent = {"what": "reading", "released_deg": value}
            given = {}
            if chance.random() < 0.3:
                given = {"mark_mm": float(wanted.mark_mm + chance.normal(0.0, 1.5))}
            if chance.random() < 0.3:
                given["command_deg"] = float(wanted.command_deg + chance.normal(0.0, 0.3))
            sent |= given
            record = Reading(step=now.step, released_deg=value, at=AT, key="k", **given)
        if sent is None:
            break
        if sent["what"] != "distance":
            can_take_back = sent["what"] in ("reading", "correction")
        made.append(record)
        ops.append(
            {
                "key": f"key-{number:06d}",
                "bar": "MH",
                "code": "",
                "stick": started.key,
                "shown": len(made) - 1,
                "step": now.step,
                "at_ms": 0,
                "sent": sent,
            }
        )
    return made, ops
