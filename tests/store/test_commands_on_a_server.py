"""The commands with a server's address, as a person types them."""

import pytest


@pytest.fixture
def shop(postgres, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return ("--shop", postgres.fresh())


def test_a_shop_on_a_server_from_the_first_bender_to_a_copy_and_back(hoopwright, shop, tmp_path):
    bend = (
        *(
            "log",
            "add",
            "--die",
            "45",
            "--batch",
            "B1",
            "--wanted",
            "90",
            "--command",
            "93",
            "--released",
            "90",
        ),
        *shop,
    )
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "120", *shop)
    hoopwright.keys(
        *("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red"), *shop
    )
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5", *shop)
    hoopwright.keys(*bend, "--key", "k1")
    assert hoopwright.stops(*bend, "--key", "k1", "--note", "other") == ["SHOP-024"]
    hoopwright.keys("backup", tmp_path / "copy.sqlite", *shop)
    hoopwright.keys(*bend, "--key", "k2")
    made = hoopwright.keys("restore", tmp_path / "copy.sqlite", *shop)
    assert (made["bends"], made["bends_before"]) == (1, 2)
    assert made["replaced"].startswith(str(tmp_path / "data"))
    replaced = hoopwright.keys("log", "show", "--shop", made["replaced"])["bends"]
    assert [one["key"] for one in replaced] == ["k1", "k2"]
    assert [one["key"] for one in hoopwright.keys("log", "show", *shop)["bends"]] == ["k1"]
    shown = hoopwright.keys("shop", "show", *shop)
    assert shown["shop"] == shop[1]
    assert shown["counts"]["dies"] == 1


def test_projects_find_a_server_by_the_variable(hoopwright, shop, tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", shop[1])
    nodes = tmp_path / "nodes.csv"
    nodes.write_text("forward,left,up\n0,0,0\n900,0,0\n900,900,0\n", encoding="utf-8")
    samples = tmp_path / "samples.toml"
    samples.write_text(
        'od_mm = 45.0\nwall_mm = 2.5\ndie = "45"\n[[angle]]\ncommand_deg = 93.0\nreleased_deg = 90.0\n'
        "[[plain]]\nclr_mm = 137.5\nused_per_deg_mm = 2.3556\nstart_offset_mm = 11.5\n",
        encoding="utf-8",
    )
    hoopwright.keys("bender", "add", "Red", "--swings", "anticlockwise", "--clamp", "75")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red")
    hoopwright.keys("calibrate", samples, "--keep")
    hoopwright.keys("new", tmp_path / "car")
    hoopwright.keys("bar", "add", tmp_path / "car", "X", "--role", "door bar", "--nodes", nodes)
    assert hoopwright.keys("sheets", tmp_path / "car")["sheets"][0]["calibrated"]
    checks = hoopwright.keys("check", tmp_path / "car")["checks"]
    assert any("clamp 75 mm" in row["where"] for row in checks)


def test_a_server_that_is_not_there_is_told(hoopwright, postgres, tmp_path):
    url = f"postgresql://postgres@/x?host={tmp_path}"
    assert hoopwright.stops("log", "show", "--shop", url) == ["SHOP-020"]
    assert hoopwright.stops("log", "show", "--shop", postgres.url("nothing")) == ["SHOP-020"]
