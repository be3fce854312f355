"""The sheet for sample bends, as a person asks for it."""

from pypdf import PdfReader


def text_of(path):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_before_any_calibration_for_a_tube(hoopwright, tmp_path):
    out, again = tmp_path / "s.pdf", tmp_path / "t.pdf"
    asked = ("--tube", "45 x 2.5", "--clr", "137.5", "--die", "the 45", "--date", "2026-03-01")
    keys = hoopwright.keys("calibrate", "--sheet", out, *asked)
    assert [one["kind"] for one in keys["samples"]] == ["leg", "u", "angle", "angle", "angle"]
    assert keys["clr_mm"] == 137.5
    assert "the 45" in text_of(out)
    hoopwright.keys("calibrate", "--sheet", again, *asked)
    assert out.read_bytes() == again.read_bytes()
    hoopwright.keys("calibrate", "--sheet", again, *asked, "--paper", "letter")
    assert float(PdfReader(again).pages[0].mediabox.width) == 612.0


def test_with_samples_the_one_next_sample(hoopwright, files, tmp_path):
    out = tmp_path / "s.pdf"
    keys = hoopwright.keys("calibrate", files / "samples.toml", "--sheet", out)
    assert len(keys["samples"]) == 1
    assert keys["why"] == hoopwright.keys("calibrate", files / "samples.toml")["best_next_sample"]
    assert "Next sample bend" in text_of(out)


def test_a_die_of_the_shop_gives_tube_radius_and_clamp(hoopwright, tmp_path):
    shop = ("--shop", tmp_path / "shop.db")
    hoopwright.keys("bender", "add", "big", "--swings", "clockwise", "--clamp", "700", *shop)
    hoopwright.keys(
        "die", "add", "d45", "--od", "45", "--clr", "135", "--reach", "190", "--bender", "big", *shop
    )
    out = tmp_path / "s.pdf"
    keys = hoopwright.keys("calibrate", "--sheet", out, "--die", "d45", *shop)
    assert (keys["od_mm"], keys["clr_mm"]) == (45.0, 135.0)
    assert all(one["mark_mm"] >= 700.0 for one in keys["samples"])
    assert hoopwright.stops("calibrate", "--sheet", out, "--die", "d45", "--tube", "38 x 2.5", *shop) == [
        "CAL-042"
    ]


def test_without_a_tube_nothing_is_written(hoopwright, tmp_path):
    out = tmp_path / "s.pdf"
    assert hoopwright.stops("calibrate", "--sheet", out) == ["CAL-041"]
    assert not out.exists()


def test_with_a_log_the_angle_that_narrows_the_bands_most(hoopwright, files, tmp_path):
    log, out = tmp_path / "bends.csv", tmp_path / "s.pdf"
    rows = (f"b{k},2026-03-{k:02d}T10:00,,{20 + 5 * k},{(20 + 5 * k) * 0.97 - 0.8:.2f}" for k in range(1, 9))
    log.write_text("key,time,batch,command_deg,released_deg\n" + "\n".join(rows) + "\n", encoding="utf-8")
    keys = hoopwright.keys("calibrate", files / "samples.toml", "--log", log, "--sheet", out)
    learnt = hoopwright.keys("calibrate", files / "samples.toml", "--log", log)["learnt"]
    assert keys["why"] == learnt["batches"][0]["sample"]
    assert [one["kind"] for one in keys["samples"]] == ["angle"]


def test_what_cannot_be_is_refused_before_anything_is_written(hoopwright, tmp_path):
    out = tmp_path / "s.pdf"
    assert hoopwright.stops("calibrate", "--sheet", out, "--tube", "45 x 2.5", "--clr", "0") == ["CAL-040"]
    assert hoopwright.run("calibrate", "--tube", "45 x 2.5").status == 2
    assert hoopwright.run("calibrate", "--sheet", out, "--tube", "45 x 2.5", "--keep").status == 2
    assert hoopwright.stops("calibrate", "--sheet", tmp_path, "--tube", "45 x 2.5") == ["STORE-002"]
    assert not out.exists()
