import itertools
import math

import numpy as np
import pytest
from benchmarks.papers import twenty_bars

from hoopwright.bars import centreline
from hoopwright.cage import bars_of
from hoopwright.papers.dossier import page_room
from hoopwright.papers.dossier.drawing_pages import PAGES
from hoopwright.papers.drawing import A4, LETTER, Box, Circle, Polyline, texts
from hoopwright.papers.leaders import RING_MM, faulty_labels, place_labels
from hoopwright.papers.lettering import text_box
from hoopwright.papers.numbered_view import NumberedSheet, NumberedTube, _straightened, numbered_view
from hoopwright.papers.outline import SolidTube, sheet_of_faces
from hoopwright.papers.overview import overlap
from hoopwright.papers.views import fit_view, view

VIEWS = [name for page in PAGES for name in page]


@pytest.fixture(scope="module")
def tubes():
    cage = twenty_bars()
    return [
        NumberedTube(
            number=number,
            tube=SolidTube(
                path=centreline(bar),
                od_mm=bar.tube.od_mm,
                cut_a=cage.member(name).end_a.kind == "bar",
                cut_b=cage.member(name).end_b.kind == "bar",
            ),
        )
        for number, (name, bar) in enumerate(bars_of(cage).items(), start=1)
    ]


def half(paper):
    room = page_room(paper)
    return Box(
        left_mm=room.left_mm, top_mm=room.top_mm, width_mm=room.width_mm, height_mm=room.height_mm * 0.42
    )


def crossing(one, other):
    """Whether two segments share a point, by solving for it."""
    (a, b), (c, d) = (np.array(one, dtype=float), np.array(other, dtype=float))
    ways = np.column_stack([b - a, c - d])
    if abs(np.linalg.det(ways)) < 1e-12:
        return False
    share = np.linalg.solve(ways, c - a)
    return bool((share >= 0.0).all() and (share <= 1.0).all())


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("name", VIEWS)
def test_no_two_numbers_touch_and_no_two_leaders_cross(tubes, name, paper):
    cell = half(paper)
    labels = numbered_view(tubes, view(name), cell).labels
    assert len(labels) >= 6
    for one, other in itertools.combinations(labels, 2):
        assert math.dist(one.centre_mm, other.centre_mm) >= 2.0 * RING_MM + 0.5
        leaders = [(label.centre_mm, label.place_mm) for label in (one, other)]
        assert not crossing(*leaders), (one.words, other.words)
    for label in labels:
        right, down = label.centre_mm
        assert cell.left_mm + RING_MM <= right <= cell.right_mm - RING_MM
        assert cell.top_mm + RING_MM <= down <= cell.bottom_mm - RING_MM


def test_every_member_has_its_number_in_two_views_or_more(tubes):
    found = [label.words for name in VIEWS for label in numbered_view(tubes, view(name), half(A4)).labels]
    assert {str(one.number) for one in tubes} == set(found)
    assert min(found.count(str(one.number)) for one in tubes) >= 2


@pytest.mark.parametrize("name", VIEWS)
def test_a_leader_ends_on_the_tube_that_it_names(tubes, name):
    cell = half(A4)
    made = numbered_view(tubes, view(name), cell)
    lines = [item.points_mm for item in made.items if isinstance(item, Polyline) and item.width_mm == 0.45]
    drawn = np.concatenate([np.array(points) for points in lines])
    # the picture's scale and place are found again from its own lines, not taken from the code that drew it
    axes = {one.number: one.tube.path.at(one.tube.path.even_distances(2.0)) for one in tubes}
    skin = np.concatenate(list(axes.values()))
    flat = view(name).flat(skin)
    scale = np.ptp(drawn[:, 0]) / (np.ptp(flat[:, 0]) + 45.0)
    middle_paper = (drawn.min(axis=0) + drawn.max(axis=0)) / 2.0
    middle_flat = (flat.min(axis=0) + flat.max(axis=0)) / 2.0
    for label in made.labels:
        own = (view(name).flat(axes[int(label.words)]) - middle_flat) * scale
        on_paper = np.column_stack([middle_paper[0] + own[:, 0], middle_paper[1] - own[:, 1]])
        off = np.linalg.norm(on_paper - np.array(label.place_mm), axis=1).min()
        assert off <= 45.0 / 2.0 * scale + 0.6, label


def test_labels_are_as_short_as_can_be_for_a_few():
    """Every way of giving three rings out is tried."""
    cell = Box(left_mm=0.0, top_mm=0.0, width_mm=60.0, height_mm=40.0)
    places = [("1", [(20.0, 12.0)]), ("2", [(40.0, 12.0)]), ("3", [(30.0, 28.0)])]
    labels = place_labels(places, cell)
    have = sum(math.dist(label.centre_mm, label.place_mm) for label in labels)
    rim = {
        label.centre_mm
        for n in range(18)
        for label in place_labels([("x", [(x, y)]) for x, y in _grid(n)], cell)
    }
    best = min(
        sum(math.dist(centre, points[0]) for centre, (_, points) in zip(way, places, strict=True))
        for way in itertools.permutations(sorted(rim), 3)
    )
    assert have <= best + 1e-9
    assert faulty_labels(labels) == ()


def _grid(n):
    return [(8.0 + 44.0 * (n % 6) / 5.0, 8.0 + 24.0 * (n // 6) / 2.0)]


def test_more_tubes_than_go_round_a_picture_leave_some_to_other_views(tubes):
    many = [NumberedTube(number=number, tube=tubes[number % len(tubes)].tube) for number in range(1, 400)]
    cell = Box(left_mm=0.0, top_mm=0.0, width_mm=80.0, height_mm=60.0)
    labels = numbered_view(many, view("oblique left"), cell).labels
    assert 10 < len(labels) < 60


def test_more_labels_than_rings_is_refused():
    cell = Box(left_mm=0.0, top_mm=0.0, width_mm=20.0, height_mm=20.0)
    with pytest.raises(ValueError, match="do not go round"):
        place_labels([(str(n), [(10.0, 10.0)]) for n in range(200)], cell)
    assert place_labels([], cell) == ()
    assert fit_view(view("side"), [], cell).scale > 0.0


def test_a_line_that_comes_back_on_itself_keeps_its_far_end():
    """An edge-on ring begun in its middle: its line goes out, back past its start, and home."""
    across = np.array([0.0, 1.1, 0.0, -1.1, 0.0])
    kept = _straightened(np.column_stack([across, np.zeros(5)]))
    assert (kept[:, 0].min(), kept[:, 0].max()) == (-1.1, 1.1)


@pytest.fixture(scope="module")
def plates():
    """A plate of 150 by 120 mm flat under each foot of the cage, numbered as landings are."""
    cage = twenty_bars()
    feet = [
        np.array(
            cage.member(name).nodes_mm[end] if cage.member(name).nodes_mm else bars_of(cage)[name].nodes[end]
        )
        for name in bars_of(cage)
        for kind, end in ((cage.member(name).end_a.kind, 0), (cage.member(name).end_b.kind, -1))
        if kind == "shell"
    ]
    corners = np.array([(-75.0, -60.0, 0.0), (75.0, -60.0, 0.0), (75.0, 60.0, 0.0), (-75.0, 60.0, 0.0)])
    return [
        NumberedSheet(number=f"L{number}", sheet=sheet_of_faces([foot + corners]))
        for number, foot in enumerate(feet, start=1)
    ]


@pytest.mark.parametrize("name", VIEWS)
def test_numbers_of_plates_keep_off_all_others_and_off_the_arrows(tubes, plates, name):
    """Before rings kept off the arrows, one stood on them from the left."""
    made = numbered_view(tubes, view(name), half(A4), plates)
    for one, other in itertools.combinations(made.labels, 2):
        assert math.dist(one.centre_mm, other.centre_mm) >= 2.0 * RING_MM + 0.5
        assert not crossing(*[(label.centre_mm, label.place_mm) for label in (one, other)])
    rings = [item for item in made.items if isinstance(item, Circle) and item.radius_mm == RING_MM]
    assert len(rings) == len(made.labels)
    words = [text for text in texts(made.items) if text.text in ("front", "up", "left")]
    assert words
    for ring in rings:
        square = Box(
            left_mm=ring.centre_mm[0] - RING_MM,
            top_mm=ring.centre_mm[1] - RING_MM,
            width_mm=2.0 * RING_MM,
            height_mm=2.0 * RING_MM,
        )
        assert not any(overlap(square, text_box(text)) for text in words)


def test_every_plate_has_its_number_and_thinner_lines(tubes, plates):
    assert len(plates) == 6
    found = {
        label.words for name in VIEWS for label in numbered_view(tubes, view(name), half(A4), plates).labels
    }
    assert {one.number for one in plates} <= found
    assert {str(one.number) for one in tubes} <= found
    made = numbered_view(tubes, view("oblique left"), half(A4), plates)
    widths = {item.width_mm for item in made.items if isinstance(item, Polyline) and not item.dash_mm}
    assert {0.45, 0.3} <= widths
    assert 0.3 not in {
        item.width_mm
        for item in numbered_view(tubes, view("oblique left"), half(A4)).items
        if isinstance(item, Polyline)
    }


def test_a_plate_seen_edge_on_has_its_number_elsewhere(tubes, plates):
    for name, numbered in (("side", False), ("top", True)):
        labels = numbered_view(tubes, view(name), half(A4), plates).labels
        assert any(label.words.startswith("L") for label in labels) == numbered
