"""Commands that findings name, against the places of the page where the same is done."""

import ast
import re
from pathlib import Path

import pytest
from nicegui import Client, ElementFilter, ui
from nicegui.page import page
from starlette.requests import Request

from hoopwright.findings import Finding, Severity
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.desk import Desk
from hoopwright.web.findings_words import finding_words, places_named
from hoopwright.web.going_there import card_of
from hoopwright.web.on_the_page import COMMAND, IN_A_TERMINAL, OPTION, PLACES, on_the_page, place_of
from hoopwright.web.panels import panels

ROOT = Path(__file__).parents[2] / "src" / "hoopwright"
NO_FINDINGS = ("cli", "web", "democar")
NO_COMMAND = {"shop", "demo"}
"""The head of a shop file, the name of a lock, the note in a demo's folder."""


def words_of(node):
    if isinstance(node, ast.JoinedStr):
        words = "".join(part.value if isinstance(part, ast.Constant) else "Q" for part in node.values)
    else:
        words = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
    # what has many lines is a file to fill in
    return "" if words.count("\n") > 2 else words


def strings(path):
    """Each whole string of a file that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            inside |= {id(part) for part in ast.walk(node) if part is not node}
    return [words_of(node) for node in ast.walk(tree) if id(node) not in inside]


def commands():
    """Every command that a string of the source names, and the files that do."""
    named = {}
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT)
        if name.parts[0] in NO_FINDINGS:
            continue
        for words in strings(path):
            for found in COMMAND.finditer(words):
                named.setdefault(found["quoted"] or found["name"], set()).add(str(name))
    return named


def test_every_command_that_a_finding_names_has_a_place_or_is_known_for_the_terminal():
    named = commands()
    assert len(named) > 40
    homeless = {
        command: files
        for command, files in named.items()
        if place_of(command) is None and command not in IN_A_TERMINAL | NO_COMMAND
    }
    assert homeless == {}


def test_no_place_is_kept_for_a_command_that_nobody_names():
    named = commands()
    assert {command for command in (*PLACES, *IN_A_TERMINAL) if command not in named} == set()


def test_commands_outside_of_the_pattern_would_be_seen():
    """What begins like a command is read as one: nothing slips by for the way it is quoted."""
    for path in sorted(ROOT.rglob("*.py")):
        if path.relative_to(ROOT).parts[0] in NO_FINDINGS:
            continue
        for words in strings(path):
            begun = len(re.findall(r"['`]hoopwright [a-z]", words))
            assert begun == len([one for one in COMMAND.finditer(words) if one["quoted"]]), words


BY_TERMINAL_ALONE = {
    "jobs/fit_tasks.py",
    "jobs/learning/made.py",
    "jobs/pedestals.py",
    "jobs/sample_sheets.py",
    "jobs/scan_axes.py",
    "jobs/shop_calibrations.py",
    "jobs/shops.py",
    "jobs/tolerances.py",
    "jobs/unfinished_takings.py",
    "rules/kinds/plate.py",
}
"""What only a command can meet: the page has a field that is always filled, or does not do it."""


def test_options_of_the_terminal_stand_in_brackets():
    """So that the page, which leaves them out, still says what to do."""
    bare = {}
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT)
        if name.parts[0] in NO_FINDINGS or str(name) in BY_TERMINAL_ALONE:
            continue
        for words in strings(path):
            left = OPTION.sub("", COMMAND.sub("", words))
            if re.search(r"(?<![\w-])--[a-z]", left) and " " in words:
                bare[str(name)] = words
    assert bare == {}


SAID = [
    (
        "Add bars with 'hoopwright layout' or 'hoopwright bar add'.",
        'Add bars with "Lay a whole cage out" in the Cage tab or "Add a bar" in the Cage tab.',
    ),
    (
        "'hoopwright landing PROJECT' and 'hoopwright gusset list PROJECT' tell why.",
        '"Landings of the feet" in the Joints tab and "Gussets and ties" in the Joints tab tell why.',
    ),
    ("'hoopwright check' shows gaps.", "The Check tab shows gaps."),
    (
        "Add them ('hoopwright batch add', 'hoopwright stick add'), then go on.",
        'Add them ("Tube that came" in the Sticks tab), then go on.',
    ),
    (
        "Measure it: hoopwright measured PROJECT 'MH' --value 'rake=...'",
        'Measure it: "Measured by hand" in the Rule book tab',
    ),
    ("Anew: 'hoopwright shop export FOLDER'.", "Anew: 'hoopwright shop export FOLDER' (in a terminal)."),
    ("Type the batch of the bent stick (--batch), or name it.", "Type the batch of the bent stick, or name it."),
    ("'hoopwright undo' brings it back.", '"Undo" at the top of the page brings it back.'),
    ("'hoopwright' is a name, and 38 mm too", "'hoopwright' is a name, and 38 mm too"),
]  # fmt: skip


@pytest.mark.parametrize(("todo", "said"), SAID)
def test_a_todo_names_the_page(todo, said):
    assert on_the_page(todo)[0] == said


def test_a_finding_is_said_in_the_unit_of_the_page_with_the_ways_to_go():
    finding = Finding(
        code="FIT-001",
        severity=Severity.WARNING,
        sentence="Bar 38 mm brace: the gap to 'roof, up 1006 to 1186' is 9.8 mm, under the 10 mm asked.",
        todo="Fit it anew with 'hoopwright fit', or move it; 'hoopwright fit' keeps 10 mm clear.",
        objects=("38 mm brace",),
        point_mm=(254.0, -508.0, 0.0),
    )
    inches = finding_words(finding, "in").splitlines()
    assert (
        "Bar 38 mm brace: the gap to 'roof, up 1006 to 1186' is 0.386\", under the 0.394\" asked."
        in inches[0]
    )
    assert inches[1] == '  at forward 10", left -20", up 0"'
    assert inches[2].endswith('the Fit tab, or move it; the Fit tab keeps 0.394" clear.')
    assert finding_words(finding, "mm").splitlines()[1] == "  at forward 254, left -508, up 0 mm"
    assert "is 9.8 mm, under the 10 mm asked" in finding_words(finding, "mm")
    assert [place.on_a_button for place in places_named(finding)] == ["Fit tab"]


class _NoView(ui.element):
    """Takes what the picture would show."""

    base = "/seen"

    def __getattr__(self, name):
        if name.startswith("_"):
            raise AttributeError(name)
        return lambda *_, **__: None


@pytest.fixture
def built(small):
    """Every tab of the workbench, built for a project with bars and a scan."""
    desk = Desk(folder=ProjectFolder(path=small))
    asked = Request(
        {
            "type": "http",
            "method": "GET",
            "path": "/",
            "headers": [(b"host", b"127.0.0.1")],
            "server": ("127.0.0.1", 80),
            "scheme": "http",
            "query_string": b"",
        }
    )
    with Client(page("/"), request=asked) as client, client.layout:
        bench = Bench(desk=desk, view=_NoView("div"), seen=desk.seen(), picking=None)
        for panel in panels():
            bench.tab = panel.name
            with ui.tab_panel(panel.name):
                panel.build(bench)
        bench.choose("MH")
        yield bench
    client.delete()


def test_each_place_is_on_the_page(built):
    tabs = {panel.name for panel in panels()}
    for place in set(PLACES.values()):
        if place.tab:
            assert place.tab in tabs
            assert (card_of(place) is not None) == bool(place.card), place


def fields(bench, *labels):
    return [
        next(one for one in ElementFilter(kind=ui.input) if one.props.get("label") == label)
        for label in labels
    ]


def test_samples_that_nobody_typed_follow_the_chosen_bar(built, small, hoopwright):
    """What was typed stays, what only stood there goes along with the bar."""
    od, wall, die = fields(built, "Tube: outside", "Wall", "Die, as the bars name it")
    assert (od.value, wall.value, die.value) == ("45", "2.5", "45")
    wall.set_value("3")
    hoopwright.keys("bar", "tube", small, "BS-L", "38 x 2", "--die", "38", "--clr", "115")
    built.seen = built.desk.seen()
    built.tell()
    assert [one.value for one in fields(built, "Tube: outside", "Wall")] == ["45", "3"]
    built.choose("BS-L")
    named = fields(built, "Tube: outside", "Wall", "Die, as the bars name it")
    assert [one.value for one in named] == ["38", "3", "38"]
    built.choose("MH")
    named = fields(built, "Tube: outside", "Wall", "Die, as the bars name it")
    assert [one.value for one in named] == ["45", "3", "45"]
