"""What a screen at the bender is told and may send, without a browser."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.web.screen import add_screen_routes, files
from hoopwright.web.screen.sent import SentDecision, SentReading

API = "/bend/_/api/"


@pytest.fixture
def bench(hoop_project):
    app = FastAPI()
    add_screen_routes(app, ProjectFolder(path=hoop_project))
    return TestClient(app)


@pytest.fixture
def built(tmp_path, monkeypatch):
    """A bundle, as the wheel has one."""
    monkeypatch.setattr(files, "BUILT", tmp_path / "built")
    (tmp_path / "built").mkdir()
    for name in ("index.js", "worker.js", "screen.css", "index.js.map"):
        (tmp_path / "built" / name).write_text(f"/* {name} */")
    for kept in (files.version, files.served_file):
        kept.cache_clear()
    yield
    for kept in (files.version, files.served_file):
        kept.cache_clear()


def whole(bench, **query):
    answer = bench.get(API + "bar/MH", params=query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def sent(state, **given):
    number = state["number"]
    return {"bar": "MH", "stick": state["stick"], "shown": number, "key": f"key-{number:08d}", **given}


def take(bench, state, released_deg, **given):
    answer = bench.post(API + "reading", json=sent(state, released_deg=released_deg, **given))
    assert answer.status_code == 200, answer.text
    return answer.json()["state"]


def records(hoop_project):
    stick = last_stick(ProjectFolder(path=hoop_project), "MH")
    return [] if stick is None else list(stick.records)


def codes(answer):
    return [finding["code"] for finding in answer.json()["findings"]]


def test_one_answer_holds_all_that_a_phone_needs_without_the_workbench(bench, hoop_project):
    bar = whole(bench)
    assert [step["bend"] for step in bar["steps"]] == [1, 2, 3, 4]
    # A3 as typed: marks and angles of the printed sheet
    assert bar["steps"][0]["mark_mm"] == pytest.approx(616.3, abs=0.3)
    assert [step["target_deg"] for step in bar["steps"]] == pytest.approx(
        [18.96, 73.81, 73.81, 18.96], abs=0.02
    )
    assert bar["line"] == pytest.approx([0.777, 0.0301])
    assert all(
        step["slip"]["drawn_mm"] == pytest.approx(2.3556 * step["target_deg"]) for step in bar["steps"]
    )
    assert {"pose", "end", "wrong_end", "mark"} <= set(bar["steps"][1]["pictures"])
    assert bar["checks"]
    assert records(hoop_project) == []  # looking writes nothing


def test_the_steps_in_force_are_those_of_the_printed_sheet(bench, hoop_project):
    """The screen's own steps, made from the stick's records, against the sheet's, made from the bar."""
    from hoopwright.jobs.opened_sheets import open_sheet

    sheet = open_sheet(ProjectFolder(path=hoop_project), "MH", "2026-03-14").sheet
    for ours, printed in zip(whole(bench)["steps"], sheet.steps, strict=True):
        assert ours["mark_mm"] == pytest.approx(printed.mark_mm)
        assert ours["mark_from_b_mm"] == pytest.approx(printed.mark_from_b_mm)
        assert ours["command_deg"] == pytest.approx(printed.command_deg)
        assert ours["turn_deg"] == printed.turn_tube_deg or ours["turn_deg"] == pytest.approx(
            printed.turn_tube_deg
        )
        assert ours["leg_hour"] == printed.leg_clock or ours["leg_hour"] == pytest.approx(printed.leg_clock)
        assert ours["slip"] == {
            "drawn_mm": pytest.approx(printed.slip.drawn_mm),
            "limit_mm": printed.slip.limit_mm,
        }


def test_a7_under_then_over(bench):
    state = take(bench, whole(bench)["state"], 18.4)
    assert (state["phase"], state["step"]) == ("add", 1)
    assert state["pending"]["add_deg"] == pytest.approx(0.6, abs=0.05)
    state = take(bench, state, 18.96)
    assert (state["phase"], state["step"]) == ("bend", 2)
    state = take(bench, state, 74.6)
    assert state["phase"] == "decide"
    cost = bench.get(API + "cost/MH").json()["cost"]
    assert cost["number"] == state["number"]
    assert [change["bend"] for change in cost["changes"]] == [3, 4]
    assert max(cost["solved"]["miss_a_mm"], cost["solved"]["miss_b_mm"]) < max(
        cost["carried_on"]["miss_a_mm"], cost["carried_on"]["miss_b_mm"]
    )


def test_a_reading_is_on_the_disk_before_it_is_answered_and_counts_once(bench, hoop_project):
    state = whole(bench)["state"]
    body = sent(state, released_deg=18.9)
    first = bench.post(API + "reading", json=body)
    assert len(records(hoop_project)) == 2
    again = bench.post(API + "reading", json=body)  # the answer was lost on the way
    assert (first.json()["counted_before"], again.json()["counted_before"]) == (False, True)
    assert len(records(hoop_project)) == 2
    assert again.json()["state"]["number"] == first.json()["state"]["number"]


def test_what_somebody_else_has_answered_is_not_answered_again(bench, hoop_project):
    state = whole(bench)["state"]
    take(bench, state, 18.9)
    late = bench.post(API + "reading", json=sent(state, released_deg=18.8) | {"key": "other-phone-1"})
    assert (late.status_code, codes(late)) == (409, ["BEND-003"])
    assert len(records(hoop_project)) == 2


def test_a_reading_of_another_stick_is_not_taken(bench, hoop_project):
    state = whole(bench)["state"]
    other = bench.post(API + "reading", json=sent(state, released_deg=18.9) | {"stick": "MH-r1-2"})
    assert (other.status_code, codes(other)) == (409, ["BEND-003"])
    assert records(hoop_project) == []


def test_many_screens_at_one_bend_leave_one_reading(bench, hoop_project):
    state = whole(bench)["state"]

    def one(number):
        body = sent(state, released_deg=18.9) | {"key": f"phone-{number:04d}"}
        return bench.post(API + "reading", json=body).status_code

    with ThreadPoolExecutor(12) as several:
        answers = list(several.map(one, range(24)))
    assert sorted(answers) == [200] + [409] * 23
    assert len(records(hoop_project)) == 2


def test_going_on_with_the_sheets_numbers_leaves_them_as_they_are(bench, hoop_project):
    before = whole(bench)
    state = take(bench, before["state"], 20.5)
    answer = bench.post(API + "decision", json=sent(state, go_on=True, as_planned=True)).json()
    assert answer["state"]["phase"] == "bend"
    for ours, was in zip(answer["screen"]["steps"][1:], before["steps"][1:], strict=True):
        assert ours["target_deg"] == pytest.approx(was["target_deg"])
        assert ours["mark_mm"] == pytest.approx(was["mark_mm"])
        assert ours["turn_deg"] == pytest.approx(was["turn_deg"])
    assert records(hoop_project)[-1].choice == "go on"


def test_going_on_with_new_numbers_brings_them_with_the_answer(bench):
    before = whole(bench)
    state = take(bench, before["state"], 20.5)
    answer = bench.post(API + "decision", json=sent(state, go_on=True)).json()
    new = [step["target_deg"] for step in answer["screen"]["steps"][1:]]
    assert new != pytest.approx([step["target_deg"] for step in before["steps"][1:]], abs=0.05)
    assert answer["screen"]["state"]["number"] == answer["state"]["number"]


def test_a_reading_is_put_right_and_taken_back(bench, hoop_project):
    state = take(bench, whole(bench)["state"], 20.5)
    of = state["taken"][-1]["record"]
    answer = bench.post(
        API + "correction", json=sent(state, of=of, released_deg=18.9, reason="typed wrongly")
    ).json()
    assert (answer["state"]["phase"], answer["state"]["step"]) == ("bend", 2)
    back = bench.post(API + "taking-back", json=sent(answer["state"], of=of))
    assert (back.json()["state"]["phase"], back.json()["state"]["step"]) == ("bend", 1)
    assert [record.kind for record in records(hoop_project)] == [
        "started",
        "reading",
        "correction",
        "withdrawal",
    ]


def test_a_slip_moves_the_mark_and_asks_where_it_is_far(bench):
    bar = whole(bench)
    state = take(bench, bar["state"], 18.9)
    of, mark = state["taken"][-1]["record"], bar["steps"][0]["mark_mm"]
    answer = bench.post(API + "correction", json=sent(state, of=of, released_deg=18.9, mark_mm=mark - 6.0))
    assert answer.status_code == 200, answer.text
    answer = answer.json()
    assert answer["state"]["phase"] == "decide"


def test_a_phone_that_kept_a_reading_says_for_how_long(bench, hoop_project):
    import datetime as dt

    take(bench, whole(bench)["state"], 18.9, age_s=7200.0)
    at = dt.datetime.fromisoformat(records(hoop_project)[-1].at)
    assert 7190.0 < (dt.datetime.now(dt.UTC) - at).total_seconds() < 7300.0


def test_an_old_sheet_is_told_and_begins_no_stick(bench, hoopwright, hoop_project):
    code = whole(bench)["identity"]
    hoopwright.keys("bar", "move", hoop_project, "MH", "3", "--", "-900,515,1085")
    stopped = bench.get(API + "bar/MH", params={"code": code})
    assert (stopped.status_code, codes(stopped)) == (409, ["BEND-011"])


@pytest.fixture
def bent(bench):
    """Where a bar stands whose bends are all made."""
    state = whole(bench)["state"]
    for angle_deg in (18.96, 73.81, 73.81, 18.96):
        state = take(bench, state, angle_deg)
    assert state["phase"] == "done"
    return state


def tape(bench, state, name, measured_mm, key="taped-0001", over="", **more):
    body = sent(state, name=name, measured_mm=measured_mm, over=over) | {"key": key} | more
    return bench.post(API + "distance", json=body)


def told_distances(bench):
    return {one["name"]: one["measured_mm"] for one in whole(bench)["state"]["taped"]}


def test_a_distance_is_on_the_disk_before_it_is_answered_and_counts_once(bench, bent, hoop_project):
    first, again = (tape(bench, bent, "feet", 1266.0) for _ in range(2))
    assert (first.json()["counted_before"], again.json()["counted_before"]) == (False, True)
    assert [record.kind for record in records(hoop_project)[5:]] == ["taped"]
    assert first.json()["state"]["taped"] == again.json()["state"]["taped"]
    other = tape(bench, bent, "feet", 1267.0)  # the same key with something else
    assert (other.status_code, codes(other)) == (409, ["BEND-005"])
    assert told_distances(bench) == {"feet": 1266.0}


def test_a_distance_is_put_right_by_a_further_record(bench, bent, hoop_project):
    tape(bench, bent, "feet", 1266.0)
    right = tape(bench, bent, "feet", 1264.0, key="taped-0002", over="taped-0001")
    assert right.status_code == 200, right.text
    assert told_distances(bench) == {"feet": 1264.0}
    assert [one.measured_mm for one in records(hoop_project)[5:]] == [1266.0, 1264.0]


def test_only_the_same_distance_of_another_phone_is_in_the_way(bench, bent):
    tape(bench, bent, "feet", 1266.0)
    # both had seen the same number; the knees hang on nothing that came since
    assert tape(bench, bent, "knees", 1326.0, key="phone-2-a").status_code == 200
    late = tape(bench, bent, "feet", 1264.0, key="phone-2-b")
    assert (late.status_code, codes(late)) == (409, ["BEND-003"])
    assert told_distances(bench) == {"feet": 1266.0, "knees": 1326.0}


def test_many_phones_that_tape_one_distance_leave_one(bench, bent, hoop_project):
    def one(number):
        return tape(bench, bent, "feet", 1260.0 + number, key=f"phone-{number:04d}").status_code

    with ThreadPoolExecutor(12) as several:
        answers = list(several.map(one, range(24)))
    assert sorted(answers) == [200] + [409] * 23
    assert len(records(hoop_project)) == 6


@pytest.mark.parametrize(
    ("name", "measured_mm", "code"),
    [("hands", 1265.0, "ASBENT-001"), ("feet", -1265.0, "ASBENT-003"), ("feet", 49.8, "ASBENT-003")],
)
def test_a_distance_that_cannot_be_is_not_kept(bench, bent, hoop_project, name, measured_mm, code):
    answer = tape(bench, bent, name, measured_mm)
    assert (answer.status_code, codes(answer)) == (409, [code])
    assert len(records(hoop_project)) == 5


def test_a_distance_that_is_no_number_is_not_read(bench, bent, hoop_project):
    body = json.dumps(sent(bent, name="feet", measured_mm=0.5, over="")).replace("0.5", "NaN")
    answer = bench.post(API + "distance", content=body, headers={"content-type": "application/json"})
    assert (answer.status_code, codes(answer)) == (422, ["WEB-021"])
    assert len(records(hoop_project)) == 5


def test_a_bar_in_hand_and_another_stick_are_not_taped(bench, hoop_project):
    state = take(bench, whole(bench)["state"], 18.9)
    early = tape(bench, state, "feet", 1266.0)
    assert (early.status_code, codes(early)) == (409, ["BEND-004"])
    other = tape(bench, state, "feet", 1266.0, stick="MH-r1-2")
    assert (other.status_code, codes(other)) == (409, ["BEND-003"])
    assert len(records(hoop_project)) == 2


def test_what_the_bends_cost_is_not_solved_again_for_a_distance(bench, bent, monkeypatch):
    from hoopwright.web.screen import solving

    cost = bench.get(API + "cost/MH").json()["cost"]
    tape(bench, bent, "feet", 1266.0)
    monkeypatch.setattr(solving, "rescue_keys", None)  # called, it would stop
    assert bench.get(API + "cost/MH").json()["cost"] == cost
    assert whole(bench)["state"]["bend_record"] == cost["number"]


def test_the_bounds_that_a_phone_knows_are_those_of_the_workbench(bench, bent):
    for number, check in enumerate(whole(bench)["checks"]):
        inside = (check["least_mm"] + 0.1, check["most_mm"] - 0.1)
        outside = (check["least_mm"] - 0.1, check["most_mm"] + 0.1)
        for value in outside:
            assert tape(bench, bent, check["key"], value).status_code == 409
        over = ""
        for value in inside:
            key = f"within-{number}-{value:.0f}"
            assert tape(bench, bent, check["key"], value, key=key, over=over).status_code == 200
            over = key


def test_a_stick_whose_sheet_has_grown_old_goes_on_and_says_so(bench, hoopwright, hoop_project):
    bar = whole(bench)
    state = take(bench, bar["state"], 18.9)
    assert state["is_old"] is False
    hoopwright.keys("bar", "move", hoop_project, "MH", "3", "--", "-900,515,1085")
    after = whole(bench, code=bar["identity"])
    assert after["state"]["is_old"] is True
    # the tube in the machine was marked from the old sheet: its numbers stay
    assert [step["mark_mm"] for step in after["steps"]] == pytest.approx(
        [step["mark_mm"] for step in bar["steps"]]
    )
    # and so do the distances to tape on it
    assert after["checks"] == bar["checks"]


def test_the_stamp_changes_with_a_reading_and_only_then(bench):
    def stamp():
        return bench.get(API + "stamp/MH").json()["stamp"]

    bar = whole(bench)
    assert bar["stamp"] == stamp() == stamp()
    answer = bench.post(API + "reading", json=sent(bar["state"], released_deg=18.9)).json()
    assert answer["stamp"] == stamp() != bar["stamp"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"released_deg": "18.9"},
        {"released_deg": 1e9},
        {"released_deg": None},
        {"shown": 0},
        {"shown": "1"},
        {"key": "short"},
        {"key": "../../../etc/passwd"},
        {"bar": "../car"},
        {"bar": "M H"},
        {"code": "x/../y"},
        {"age_s": -1.0},
        {"reason": "x" * 201},
        {"extra": 1},
        {"mark_mm": [1.0]},
    ],
)
def test_what_no_screen_sends_is_refused_before_any_job(bench, hoop_project, wrong):
    body = sent(whole(bench)["state"], released_deg=18.9) | wrong
    assert bench.post(API + "reading", json=body).status_code == 422
    assert records(hoop_project) == []


def test_nan_large_and_other_bodies_are_refused(bench, hoop_project):
    headers = {"content-type": "application/json"}
    text = json.dumps(sent(whole(bench)["state"])).replace("}", ', "released_deg": NaN}')
    told = bench.post(API + "reading", content=text, headers=headers)
    assert (told.status_code, codes(told)) == (422, ["WEB-021"])
    assert "released_deg" in told.json()["findings"][0]["sentence"]
    assert bench.post(API + "reading", content=" " * 9000, headers=headers).status_code == 413
    assert (
        bench.post(API + "reading", content="a=1", headers={"content-type": "text/plain"}).status_code == 413
    )
    assert records(hoop_project) == []


def test_bars_are_listed_with_where_they_stand(bench):
    assert [(bar["bar_id"], bar["state"]) for bar in bench.get(API + "bars").json()["bars"]] == [
        ("MH", "not begun")
    ]
    take(bench, whole(bench)["state"], 18.9)
    (bar,) = bench.get(API + "bars").json()["bars"]
    assert (bar["state"], bar["made"], bar["bends"]) == ("in hand", 1, 4)


def test_the_square_code_holds_the_address_of_the_bar(bench):
    told = bench.get(API + "code/MH").json()
    assert told["address"].endswith(f"/bend/MH?code={whole(bench)['identity']}")
    assert told["svg"].startswith("<svg")
    assert bench.get(API + "code/XX").status_code == 409


def test_the_page_allows_nothing_from_elsewhere(bench, built):
    page = bench.get("/bend/MH?code=abc")
    assert page.status_code == 200
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http:" not in page.text.replace("http-equiv", "")
    assert "https:" not in page.text
    worker = bench.get("/bend/_/worker.js")
    assert worker.headers["service-worker-allowed"] == "/bend"
    assert "HOOPWRIGHT_VERSION" in worker.text
    for name in ("index.js.map", "nothing.js", "..%2Fview%2Findex.js"):
        assert bench.get(f"/bend/_/{name}").status_code == 404


def test_without_the_bundle_it_says_what_to_do(bench, monkeypatch, tmp_path):
    monkeypatch.setattr(files, "BUILT", tmp_path / "nothing")
    for kept in (files.version, files.served_file):
        kept.cache_clear()
    page = bench.get("/bend")
    assert page.status_code == 503
    assert "WEB-020" in page.text


def test_models_are_strict():
    for model in (SentReading, SentDecision):
        assert model.model_config["extra"] == "forbid"
        assert model.model_config["strict"]
