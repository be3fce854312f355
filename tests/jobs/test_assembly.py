"""`hoopwright assembly` on a project: orders found, kept, checked, and what is refused."""

import pytest

from hoopwright.store import ProjectFolder

pytest.importorskip("ompl")
DOORS = ((-1500.0, -300.0, True, 150.0, 950.0), (-1500.0, -300.0, False, 150.0, 950.0))
NODES = {
    "MH": "-1100,500,0\n-1100,500,900\n-1100,-500,900\n-1100,-500,0\n",
    "HB": "-1100,500,500\n-1100,-500,500\n",
    "BS": "-1100,300,900\n-1700,300,0\n",
}
BARS = (
    ("MH", "main hoop", "shell", "shell"),
    ("HB", "harness bar", "MH", "MH"),
    ("BS", "backstay", "MH", "shell"),
)


@pytest.fixture(scope="module")
def made(hoopwright, bodies, tmp_path_factory):
    """A project of three bars in a cabin with two doors."""
    import numpy as np

    folder = tmp_path_factory.mktemp("assembly")
    soup = bodies.cabin_soup(openings=DOORS)
    facets = np.zeros(len(soup), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = np.asarray(soup).reshape(-1, 9)
    stl = folder / "cabin.stl"
    stl.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    car = folder / "car"
    hoopwright.keys("new", car)
    hoopwright.keys("scan", car, stl, "--unit", "mm", "--as-given")
    for name, role, end_a, end_b in BARS:
        file = folder / f"{name}.csv"
        file.write_text("forward,left,up\n" + NODES[name], encoding="utf-8")
        hoopwright.keys(
            "bar", "add", car, name, "--nodes", file, "--role", role, "--tube", "40 x 2.5", "--die", "40",
            "--clr", "120", "--end-a", end_a, "--end-b", end_b,
        )  # fmt: skip
    return car


def order_of(folder):
    return ProjectFolder(path=folder).open().project.cage.order


def test_an_order_is_found_kept_and_taken_back(hoopwright, made):
    found = hoopwright.keys("assembly", made, "--keep")
    assert found["order"][0] == ["MH"]
    assert found["kept"]
    assert all(step["found"] for step in found["steps"])
    assert order_of(made) == tuple(name for group in found["order"] for name in group)
    again = hoopwright.keys("assembly", made)
    assert again["order"] == found["order"]
    hoopwright.keys("undo", made)
    assert order_of(made) == ()


@pytest.mark.slow
def test_the_same_bytes_on_every_run(hoopwright, made):
    first = hoopwright.run("assembly", made, "HB", "--json").out
    assert hoopwright.run("assembly", made, "HB", "--json").out == first


@pytest.mark.slow
def test_a_typed_order_is_checked(hoopwright, made):
    wrong = hoopwright.keys("assembly", made, "--order", "HB,MH,BS")
    assert "WAY-005" in [one["code"] for one in wrong["findings"]]
    assert wrong["steps"][0]["too_early_for"] == ["MH"]
    tacked = hoopwright.keys("assembly", made, "--order", "MH+HB,BS", "--tacked", "MH+HB")
    assert tacked["order"] == [["MH", "HB"], ["BS"]]
    assert not tacked["steps"][0]["too_early_for"]
    short = hoopwright.keys("assembly", made, "--order", "MH")
    assert "WAY-007" in [one["code"] for one in short["findings"]]
    assert {name for group in short["order"] for name in group} == set(NODES)


def test_one_bar_through_one_opening(hoopwright, made):
    found = hoopwright.keys("assembly", made, "BS", "--through", "door-right")
    assert [step["bars"] for step in found["steps"]] == [["BS"]]
    assert found["steps"][0]["through"] == "door-right"
    assert found["order"] is None
    said = hoopwright.run("assembly", made, "BS", "--through", "door-right")
    assert said.status == 0
    assert "door-right" in said.out


@pytest.mark.slow
def test_pictures_of_every_step(hoopwright, made):
    import io

    import pypdfium2
    from PIL import Image

    found = hoopwright.keys("assembly", made, "MH", "--picture", "--date", "2026-03-01")
    assert found["pictures"] == ["papers/way-MH.png", "papers/way-MH.pdf"]
    image = Image.open(io.BytesIO((made / "papers/way-MH.png").read_bytes()))
    assert len(image.getcolors(maxcolors=10_000_000)) > 100
    pdf = (made / "papers/way-MH.pdf").read_bytes()
    assert len(pypdfium2.PdfDocument(pdf)) == 1
    hoopwright.keys("assembly", made, "MH", "--picture", "--date", "2026-03-01")
    assert (made / "papers/way-MH.pdf").read_bytes() == pdf


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("XX",), "CAGE-001"),
        (("--through", "sunroof"), "WAY-003"),
        (("--gap", "0"), "WAY-011"),
        (("--gap", "500"), "WAY-011"),
        (("--order", "MH,MH"), "WAY-006"),
        (("--order", "typed"), "WAY-016"),
        (("--tacked", "MH+HB", "--tacked", "HB+BS"), "WAY-014"),
        (("--gap", "x"), "UNIT-001"),
    ],
)
def test_what_is_refused(hoopwright, made, words, code):
    assert hoopwright.stops("assembly", made, *words) == [code]


@pytest.mark.parametrize(
    "words", [("--order", "MH,,BS"), ("--seed", "0"), ("MH", "--keep"), ("--trials", "0")]
)
def test_wrong_use(hoopwright, made, words):
    assert hoopwright.run("assembly", made, *words).status == 2


def test_an_empty_cage_has_nothing_to_carry(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    assert hoopwright.stops("assembly", tmp_path / "car") == ["WAY-015"]


def test_the_track_of_a_bar_runs_from_outside_to_its_place(made):
    from hoopwright.jobs.assembly import plan_assembly

    report = plan_assembly(ProjectFolder(path=made), bar="HB", through=("door-right",))
    track = report.track_mm(report.steps[0])
    # the harness bar is straight: its middle is between its nodes, and a wall stands 680 mm from the car's middle
    assert track[-1] == pytest.approx((-1100.0, 0.0, 500.0), abs=15.0)
    assert track[0][1] < -680.0
