"""The sticks of a project: blanks as on the sheets, rack and batches, order, taking and putting back."""

from dataclasses import replace

import pytest
from pypdf import PdfReader

from hoopwright.bender import Stick, TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs import shop_sticks
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.jobs.sawn_plans import sawn_plans
from hoopwright.jobs.stock import StockWishes, stock_of
from hoopwright.jobs.stock_papers import put_stock_papers
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))


@pytest.fixture
def racked(hoopwright, shop):
    """One whole stick of each of two batches, and an offcut of another size."""
    for name, tube, heat in (
        ("one", "45 x 2.5", "7781"),
        ("two", "45 x 2.5", "9912"),
        ("thin", "38 x 2.5", "5512"),
    ):
        hoopwright.keys(
            "batch", "add", name, "--tube", tube, "--heat", heat, "--steel", "S355", "--certificate", "C7"
        )
    hoopwright.keys("stick", "add", "A", "--batch", "one", "--length", "4000")
    hoopwright.keys("stick", "add", "B", "--batch", "two", "--length", "6000")
    hoopwright.keys("stick", "add", "C", "--batch", "thin", "--length", "6000")


def sawn(keys):
    return {part["name"]: (stick, part) for stick in keys["sticks"] for part in stick["parts"]}


def test_lengths_are_those_of_the_sheets(hoopwright, project):
    blanks = {sheet["bar_id"]: sheet["blank_mm"] for sheet in hoopwright.keys("sheets", project)["sheets"]}
    keys = hoopwright.keys("stock", "plan", project)
    assert {name: part["length_mm"] for name, (_, part) in sawn(keys).items()} == blanks
    assert keys["to_buy_count"] == keys["stick_count"] == keys["lower_bound"]
    assert keys["proven_optimal"]
    assert "STOCK-006" in [finding["code"] for finding in keys["findings"]]


def test_a_bar_without_calibration_is_named_and_not_guessed(hoopwright, project):
    hoopwright.keys("bar", "tube", project, "MH", "50 x 2")
    keys = hoopwright.keys("stock", "plan", project, "--stick", "6000")
    assert [one["bar"] for one in keys["left_out"]] == ["MH"]
    assert "MH" not in sawn(keys)
    assert "STOCK-003" in [finding["code"] for finding in keys["findings"]]
    assert "STOCK-002" in hoopwright.stops("stock", "plan", project, "--only", "MH")


def test_an_empty_project(hoopwright, empty):
    assert hoopwright.stops("stock", "plan", empty) == ["STOCK-002"]
    assert hoopwright.stops("stock", "plan", empty, "--only", "MH") == ["CAGE-001"]


def test_a_pair_shares_a_batch(hoopwright, project, racked):
    """The hoop fills one stick; the pair goes together into the other, though a piece of it would fit beside."""
    keys = hoopwright.keys("stock", "plan", project, "--stick", "6000")
    found = sawn(keys)
    assert found["SB-L"][0]["batch"] == found["SB-R"][0]["batch"] != ""
    all_one = hoopwright.keys("stock", "plan", project, "--stick", "6000", "--together", "MH, SB-L")
    assert len({stick["batch"] for stick in all_one["sticks"]}) == 1


def test_what_the_rack_holds(hoopwright, project, racked):
    (size,) = hoopwright.keys("stock", "rack", project)["rack"]
    assert size["tube"] == "45 x 2.5"
    assert [stick["label"] for stick in size["sticks"]] == ["A", "B"]
    bare = hoopwright.keys("stock", "plan", project, "--no-rack")
    assert bare["to_buy_count"] == bare["stick_count"] > 0


def test_a_steel_that_is_asked_for_is_not_taken_from_another(hoopwright, project, racked):
    for bar in ("MH", "SB-L", "SB-R"):
        hoopwright.keys("bar", "steel", project, bar, "E235")
    keys = hoopwright.keys("stock", "plan", project, "--stick", "6000")
    assert {stick["source"] for stick in keys["sticks"]} == {"buy"}
    assert "STOCK-005" in [finding["code"] for finding in keys["findings"]]


def test_the_order(hoopwright, project):
    keys = hoopwright.keys("stock", "order", project, "--stick", "6000::30", "--stick", "4000::18")
    assert keys["to_buy_price"] == pytest.approx(sum(one["price"] for one in keys["order"]))
    for line in keys["order"]:
        # pi/4 (45^2 - 40^2) mm2 at 7850 kg/m3: 2.6204 kg/m
        assert line["mass_kg"] == pytest.approx(2.6204 * line["count"] * line["length_mm"] / 1000.0, rel=1e-4)
    assert keys["to_buy_price"] <= 60.0


def test_the_spare_is_the_bar_whose_ends_miss_most(hoopwright, project):
    (spare,) = hoopwright.keys("stock", "plan", project)["spares"]
    misses = {}
    for bar in ("MH", "SB-L", "SB-R"):
        made = hoopwright.keys("tolerance", project, bar, "--from-calibration")
        misses[bar] = made["both_ends_miss_mm"]
    assert spare["bar_id"] == max(misses, key=misses.get)
    assert spare["miss_mm"] == pytest.approx(max(misses.values()))
    assert not spare["asked"]
    cut = hoopwright.keys("stock", "plan", project, "--spares")
    assert f"{spare['bar_id']} spare" in sawn(cut)


def test_taking_and_putting_back(hoopwright, project, racked):
    planned = hoopwright.keys("stock", "plan", project, "--least", "100")
    assert planned["order"] == []
    taken = hoopwright.keys("stock", "take", project, "--plan", planned["identity"], "--least", "100")
    rest = {stick["label"]: stick["rest_mm"] for stick in planned["sticks"]}
    assert sorted(taken["used"]) == sorted(rest)
    for offcut in taken["offcuts"]:
        assert 0.0 <= rest[offcut["cut_from"]] - offcut["length_mm"] < 0.1
    kept = {stick["label"]: stick for stick in hoopwright.keys("stick", "show")["sticks"]}
    assert set(kept) == {"C", *(offcut["label"] for offcut in taken["offcuts"])}
    tube_of = ProjectFolder(path=project).open().project.tube_of
    for bar, (stick, _) in sawn(planned).items():
        used = tube_of[bar]
        assert (used.stick, used.batch, used.heat_number) == (
            stick["label"],
            stick["batch"],
            stick["heat_number"],
        )
        assert (used.steel, used.certificate) == ("S355", "C7")
    assert hoopwright.stops("stock", "plan", project) == ["STOCK-002", "STOCK-004"]
    back = hoopwright.keys("stock", "put-back", project, "--plan", planned["identity"])
    assert sorted(back["bars"]) == sorted(sawn(planned))
    assert {stick["label"] for stick in hoopwright.keys("stick", "show")["sticks"]} == {"A", "B", "C"}
    assert hoopwright.keys("stock", "plan", project)["identity"] == planned["identity"]
    assert hoopwright.stops("stock", "put-back", project, "--plan", planned["identity"]) == ["STOCK-012"]


def test_an_offcut_that_was_used_since_holds_the_putting_back(hoopwright, project, racked):
    taken = hoopwright.keys("stock", "take", project, "--least", "1")
    hoopwright.keys("stick", "use", taken["offcuts"][0]["label"])
    before = hoopwright.keys("stick", "show", "--used")
    assert hoopwright.stops("stock", "put-back", project, "--plan", taken["identity"]) == ["STOCK-013"]
    assert hoopwright.keys("stick", "show", "--used") == before


def test_what_is_not_bought_yet_cannot_be_taken(hoopwright, project, shop, state):
    before = state(project)
    assert hoopwright.stops("stock", "take", project, "--stick", "6000") == ["STOCK-010"]
    assert state(project) == before


def test_another_plan_is_refused(hoopwright, project, racked):
    assert hoopwright.stops("stock", "take", project, "--plan", "0123456789") == ["STOCK-011"]
    assert {stick["state"] for stick in hoopwright.keys("stick", "show", "--used")["sticks"]} == {"kept"}


def test_bars_sawn_from_another_batch_than_calibrated_are_told(hoopwright, project, racked, files, tmp_path):
    samples = tmp_path / "again.toml"
    text = (files / "samples.toml").read_text(encoding="utf-8")
    samples.write_text('batch = "one"\n' + text, encoding="utf-8")
    hoopwright.keys("calibrate", samples, "--project", project)
    keys = hoopwright.keys("stock", "plan", project)
    told = [finding for finding in keys["findings"] if finding["code"] == "STOCK-007"]
    wrong = sorted(name for name, (stick, _) in sawn(keys).items() if stick["batch"] != "one")
    assert sorted(name for finding in told for name in finding["objects"]) == wrong != []


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_papers(hoopwright, project, racked, tmp_path, paper):
    plan, labels = tmp_path / "plan.pdf", tmp_path / "labels.pdf"
    keys = hoopwright.keys("stock", "plan", project, "--pdf", plan, "--paper", paper)
    hoopwright.keys("stock", "labels", project, "--pdf", labels, "--paper", paper)
    for file in (plan, labels):
        text = "".join(page.extract_text() for page in PdfReader(file).pages)
        assert keys["identity"] in text
        for name, (stick, _) in sawn(keys).items():
            assert name in text
            assert stick["heat_number"] in text


def test_rates_say_what_a_stick_costs_and_how_long_it_is(hoopwright, project):
    """At 5 for a metre of 6.5 m sticks; what is typed goes before."""
    (project / "rates.toml").write_text(
        'currency = "EUR"\nkerf = 2.0\n[[tube]]\nod = 45\nwall = 2.5\nper_metre = 5.0\nstick = 6500\n',
        encoding="utf-8",
    )
    keys = hoopwright.keys("stock", "plan", project)
    assert {(line["length_mm"], line["price"] / line["count"]) for line in keys["order"]} == {(6500.0, 32.5)}
    assert keys["kerf_mm"] == 2.0
    assert "STOCK-006" not in [finding["code"] for finding in keys["findings"]]
    typed = hoopwright.keys(
        "stock", "order", project, "--stick", "6000", "--price", "30/stick", "--kerf", "3"
    )
    assert typed["to_buy_price"] == 30.0 * typed["to_buy_count"]


def test_a_delivery_keeps_batch_and_sticks_together(shop):
    batch = TubeBatch(name="B9", tube=TubeSize(od_mm=45.0, wall_mm=2.5), heat_number="7781")
    first = take_delivery(batch, length_mm=6000.0, count=2)
    again = take_delivery(batch, length_mm=5000.0, count=1)
    assert [stick.label for stick in (*first, *again)] == ["B9-1", "B9-2", "B9-3"]
    assert [stick.length_mm for stick in shop_sticks.sticks(None, batch="B9")] == [6000.0, 6000.0, 5000.0]
    for wrong, code in (
        ({"count": 0}, "SHOP-041"),
        ({"count": 1, "batch": replace(batch, heat_number="other")}, "SHOP-024"),
        ({"count": 1, "length_mm": float("nan")}, "SHOP-002"),
    ):
        with pytest.raises(UserError) as stopped:
            take_delivery(**{"batch": batch, "length_mm": 6000.0, **wrong})
        assert [finding.code for finding in stopped.value.findings] == [code]
    assert len(shop_sticks.sticks(None, batch="B9")) == 3
    shop_sticks.add_sticks(None, Stick(label="B9-5", batch="B9", length_mm=6000.0), 1)
    more = take_delivery(batch, length_mm=6000.0, count=2)
    assert [stick.label for stick in more] == ["B9-4", "B9-6"]
    assert len(shop_sticks.sticks(None, batch="B9")) == 6


def test_an_offcut_that_another_plan_was_sawn_from_holds_the_putting_back(hoopwright, project, shop):
    """Else its stick would be whole again, with a bar made of its end."""
    hoopwright.keys("batch", "add", "one", "--tube", "45 x 2.5", "--heat", "7781")
    hoopwright.keys("stick", "add", "A", "--batch", "one", "--length", "12000", "--note", "bent at one end")
    bars = sorted(sawn(hoopwright.keys("stock", "plan", project)))
    first = hoopwright.keys("stock", "take", project, "--only", bars[0])
    second = hoopwright.keys("stock", "take", project, "--only", bars[1])
    assert second["used"] == [first["offcuts"][0]["label"]]
    before = hoopwright.keys("stick", "show", "--used")
    assert hoopwright.stops("stock", "put-back", project, "--plan", first["identity"]) == ["STOCK-013"]
    assert hoopwright.keys("stick", "show", "--used") == before
    plans = sawn_plans(ProjectFolder(path=project))
    assert [(one.identity, one.bars, one.sticks) for one in plans] == [
        (second["identity"], (bars[1],), tuple(second["used"])),
        (first["identity"], (bars[0],), ("A",)),
    ]
    for one in plans:
        hoopwright.keys("stock", "put-back", project, "--plan", one.identity)
    assert sawn_plans(ProjectFolder(path=project)) == ()
    (kept,) = shop_sticks.sticks(None)
    assert (kept.label, kept.note) == ("A", "bent at one end")
    again = hoopwright.keys("stock", "take", project, "--only", bars[0])
    assert again["identity"] == first["identity"]
    hoopwright.keys("stock", "put-back", project, "--plan", again["identity"])


def test_a_certificate_without_its_number_is_told(hoopwright, shop):
    batch = ("batch", "add", "one", "--tube", "45 x 2.5", "--certificate")
    assert hoopwright.stops(*batch, "") == hoopwright.stops(*batch, "  ") == ["SHOP-051"]
    hoopwright.keys(*batch[:-1])
    assert hoopwright.keys("batch", "show")["batches"][0]["certificate"] == ""


def test_the_command_puts_its_labels_where_the_page_does(hoopwright, project, racked):
    (file,) = hoopwright.keys("stock", "labels", project)["files"]
    wishes = StockWishes()
    files = put_stock_papers(
        ProjectFolder(path=project), stock_of(ProjectFolder(path=project), wishes), date="2026-01-01"
    )
    assert file in [str(one.file) for one in files]


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_order_list_says_what_the_order_says(hoopwright, project, shop, paper):
    (project / "rates.toml").write_text("[[tube]]\nod = 45\nwall = 2.5\nper_metre = 5.0\n", encoding="utf-8")
    folder = ProjectFolder(path=project)
    found = stock_of(folder, StockWishes(together=(("SB-L", "MH"),)))
    order = hoopwright.keys("stock", "order", project)
    files = put_stock_papers(folder, found, date="2026-01-01", paper=paper)
    (text,) = [
        "".join(page.extract_text() for page in PdfReader(one.file).pages)
        for one in files
        if "order" in one.file.name
    ]
    words = text.split()
    assert found.identity in words
    assert f"{order['to_buy_price']:.2f}" in words
    assert f"{order['to_buy_mass_kg']:.1f}" in words
    assert [line.share_a_batch for line in found.order] != [()]
    for line in found.order:
        assert f"{line.price:.2f}" in words
        for bars in line.share_a_batch:
            assert f"of one heat for {bars}." in " ".join(words)


def test_an_order_list_with_nothing_to_buy_says_so(hoopwright, project, racked):
    folder = ProjectFolder(path=project)
    files = put_stock_papers(folder, stock_of(folder, StockWishes()), date="2026-01-01")
    (text,) = [
        "".join(page.extract_text() for page in PdfReader(one.file).pages)
        for one in files
        if "order" in one.file.name
    ]
    assert "the rack of the shop holds it all" in text
