"""`quote` and `compare` as a user types them, on a small cage that was worked out by hand."""

import math
import shutil

import numpy as np
import pytest

FLOOR_BAR = "forward,left,up\n0,0,0\n1000,0,0\n"
CROSS = "forward,left,up\n500,0,0\n500,400,0\n"
BENT = "forward,left,up\n0,600,0\n0,600,500\n0,100,500\n"
RATES = """\
currency = "crowns"
[[tube]]
per_metre = "10"
stick = "6 m"
[price]
per_hour = 60
[minutes]
per_bend = 12
per_cope = 30
[tax]
name = "tax"
percent = 10
"""
KG_PER_M = math.pi / 4.0 * (45.0**2 - 40.0**2) * 7850e-6


@pytest.fixture(scope="module")
def ready(hoopwright, tmp_path_factory):
    """A bar of 1000, one of 400 square on its middle, and one bent by 90: all 45 x 2.5, radius 137.5, no scan."""
    where = tmp_path_factory.mktemp("quote")
    project = where / "car"
    hoopwright.keys("new", project)
    for name, nodes, ends in (
        ("FB", FLOOR_BAR, ()),
        ("CB", CROSS, ("--end-a", "FB")),
        ("BB", BENT, ()),
    ):
        (where / f"{name}.csv").write_text(nodes, encoding="utf-8")
        hoopwright.keys(
            "bar", "add", project, name, "--role", "sill bar", "--nodes", where / f"{name}.csv", *ends,
            "--trim-a", "0", "--trim-b", "0",
        )  # fmt: skip
    (where / "rates.toml").write_text(RATES, encoding="utf-8")
    return where


@pytest.fixture(autouse=True)
def own_rates(monkeypatch, tmp_path):
    """Where somebody's own rates would be; none are there."""
    monkeypatch.setenv("HOOPWRIGHT_RATES", str(tmp_path / "own" / "rates.toml"))
    return tmp_path / "own" / "rates.toml"


@pytest.fixture
def where(ready, tmp_path):
    return shutil.copytree(ready, tmp_path / "work")


def test_mass_metres_and_welds_by_hand(hoopwright, where):
    made = hoopwright.keys("quote", where / "car", "--rates", where / "rates.toml", "--date", "2026-03-01")
    bars = {one["bar_id"]: one for one in made["quantities"]["members"]}
    assert bars["FB"]["mass_kg"] == pytest.approx(KG_PER_M)
    assert bars["FB"]["centre_mm"] == pytest.approx([500.0, 0.0, 0.0])
    # square on an equal tube: the mean over the wall of sqrt(22.5^2 - y^2), as a sum of cells
    radius2 = 20.0**2 + (np.arange(200) + 0.5) / 200.0 * (22.5**2 - 20.0**2)
    beside2 = np.outer(radius2, np.cos((np.arange(720) + 0.5) * math.pi / 360.0) ** 2)
    saddle = np.sqrt(22.5**2 - beside2).mean()
    assert 400.0 - bars["CB"]["length_mm"] == pytest.approx(saddle, abs=0.01)
    # 500 + 500 less 2 x 137.5 of corner, and a quarter of a turn of 137.5
    assert bars["BB"]["length_mm"] == pytest.approx(1000.0 - 275.0 + math.pi / 2.0 * 137.5)
    assert made["quantities"]["bend_count"] == 1
    assert made["quantities"]["cope_count"] == 1
    # saddle of equal tubes, 7.6404 r: Abramowitz and Stegun, E(1/2) = 1.35064
    assert made["quantities"]["weld_mm"] == pytest.approx(7.6404 * 22.5, rel=1e-3)
    assert made["sticks"][0]["count"] == 1


def test_money_and_hours_by_hand(hoopwright, where):
    made = hoopwright.keys("quote", where / "car", "--rates", where / "rates.toml")["money"]
    lines = {line["what"]: line for line in made["lines"]}
    assert (lines["bends"]["quantity"], lines["bends"]["amount"]) == ("0.20", "12.00")
    assert (lines["copes"]["quantity"], lines["copes"]["amount"]) == ("0.50", "30.00")
    metres = lines["tube 45 x 2.5"]["quantity"]
    assert float(lines["tube 45 x 2.5"]["amount"]) == pytest.approx(10.0 * float(metres))
    assert made["missing"] == ["setting up", "bars: marking and sawing", "welding"]
    net = 42.0 + 10.0 * float(metres)
    assert float(made["subtotal"]) == pytest.approx(net)
    assert float(made["total"]) == pytest.approx(net * 1.1, abs=0.006)
    assert made["currency"] == "crowns"


def test_without_rates_nothing_is_priced_and_nothing_is_0(hoopwright, where):
    made = hoopwright.keys("quote", where / "car")
    assert made["rates_file"] is None
    assert not made["money"]["is_priced"]
    assert {line["amount"] for line in made["money"]["lines"]} == {None}
    assert "COST-024" in {finding["code"] for finding in made["findings"]}
    told = hoopwright.run("quote", where / "car").out
    assert "not priced" in told
    assert "0.00" not in told.split("how much")[1]


def test_the_rates_of_the_project_come_before_your_own(hoopwright, where, own_rates):
    own = hoopwright.keys("quote", "rates", "--write")["file"]
    assert own == str(own_rates)
    assert hoopwright.keys("quote", where / "car")["rates_file"] == own
    made = hoopwright.keys("quote", "rates", "--write", "--project", where / "car")["file"]
    assert hoopwright.keys("quote", where / "car")["rates_file"] == made
    assert 'od = "45 mm"' in (where / "car" / "rates.toml").read_text(encoding="utf-8")
    kept = (where / "car" / "rates.toml").read_bytes()
    assert hoopwright.stops("quote", "rates", "--write", "--project", where / "car") == ["COST-023"]
    assert (where / "car" / "rates.toml").read_bytes() == kept


def test_what_is_typed_in_the_rates_is_shown(hoopwright, where):
    known = {
        one["name"]: one["typed"] for one in hoopwright.keys("quote", "rates", where / "rates.toml")["rates"]
    }
    assert known["per_hour"] == "60"
    assert known["minutes set_up"] is None


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--rates", "nowhere.toml"), "COST-020"),
        (("--rates", "car"), "COST-020"),
        (("--date", "soon"), "TYPED-001"),
        (("--paper", "A5"), "TYPED-001"),
    ],
)
def test_what_cannot_be_stops(hoopwright, where, words, code):
    options = [where / word if word in ("nowhere.toml", "car") else word for word in words]
    assert hoopwright.stops("quote", where / "car", *options) == [code]


def test_the_paper_is_the_same_each_time_and_writes_over_nothing_of_yours(hoopwright, where):
    options = ("--rates", where / "rates.toml", "--date", "2026-03-01", "--pdf")
    for name in ("one", "two"):
        (where / name).mkdir()
        hoopwright.keys("quote", where / "car", *options, where / name / "q.pdf")
    first = (where / "one" / "q.pdf").read_bytes()
    assert first.startswith(b"%PDF")
    assert first == (where / "two" / "q.pdf").read_bytes()
    (where / "one" / "q.pdf").write_bytes(b"mine")
    assert hoopwright.stops("quote", where / "car", *options, where / "one" / "q.pdf") == ["FILE-103"]
    assert (where / "one" / "q.pdf").read_bytes() == b"mine"


def test_an_edit_against_the_step_before_it(hoopwright, where):
    step = hoopwright.keys("undo", where / "car")["step"] + 1
    hoopwright.keys("redo", where / "car")
    (where / "x.csv").write_text("forward,left,up\n0,-300,0\n700,-300,0\n", encoding="utf-8")
    hoopwright.keys(
        "bar",
        "add",
        where / "car",
        "XB",
        "--role",
        "dash bar",
        "--nodes",
        where / "x.csv",
        "--tube",
        "38 x 2.5",
    )
    hoopwright.keys("bar", "remove", where / "car", "CB")
    hoopwright.keys("bar", "move", where / "car", "FB", "2", "1100,0,0")
    made = hoopwright.keys(
        "compare", f"{where / 'car'}@{step}", where / "car", "--rates", where / "rates.toml"
    )
    changes = {one["bar_id"]: (one["kind"], one["words"]) for one in made["changes"]}
    assert changes == {
        "FB": ("changed", ["node 2 moved 100.0 mm"]),
        "XB": ("added", ["dash bar, 38 x 2.5"]),
        "CB": ("taken out", ["sill bar, 45 x 2.5"]),
    }
    assert made["same"] == 1
    rows = {row["what"]: (row["first"], row["second"]) for row in made["rows"]}
    assert rows["copes"] == (1, 0)
    assert rows["bars"] == (3, 3)
    assert rows["sticks to buy"] == (1, 2)
    assert rows["smallest gap to the shell"] == (None, None)
    gained = KG_PER_M * 0.1 + math.pi / 4.0 * (38.0**2 - 33.0**2) * 7850e-9 * 700.0
    lost = {one["bar_id"]: one for one in made["first"]["quantities"]["members"]}["CB"]["mass_kg"]
    assert rows["mass of all"][1] - rows["mass of all"][0] == pytest.approx(gained - lost)


def test_a_layout_against_itself_differs_in_nothing(hoopwright, where):
    made = hoopwright.keys("compare", where / "car", where / "car", "--rates", where / "rates.toml")
    assert made["changes"] == []
    assert all(row["first"] == row["second"] for row in made["rows"])


@pytest.mark.parametrize(
    ("second", "code"), [("car@x", "CMP-001"), ("car@77", "STORE-012"), ("nowhere", "STORE-005")]
)
def test_a_layout_that_is_not_there(hoopwright, where, second, code):
    assert hoopwright.stops("compare", where / "car", where / second) == [code]


def test_the_comparison_on_paper(hoopwright, where):
    for paper in ("A4", "letter"):
        hoopwright.keys(
            "compare", f"{where / 'car'}@2", where / "car", "--pdf", where / f"{paper}.pdf", "--paper", paper,
            "--date", "2026-03-01",
        )  # fmt: skip
        assert (where / f"{paper}.pdf").read_bytes().startswith(b"%PDF")
