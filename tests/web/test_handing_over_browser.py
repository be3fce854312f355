"""The tabs that a cage is handed over with, as a person uses them, in a real browser."""

import json
import re

import pytest
from tests.web.at_rest import answered, at_rest
from tests.web.axe import grave_faults
from tests.web.conftest import serving
from tests.web.test_tabs_browser import SIZES, choose, opened, row

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow

LONG_MS = 120_000
"""A plan of the cuts, or a cage held to its book, on a machine that others work on too."""
OPEN = """words => [...document.querySelectorAll('.q-expansion-item--expanded > div > .q-item')]
  .some((one) => one.innerText.includes(words))"""

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "hoop"
kind = "tube size"
applies = "main hoop"
words = "size of the main hoop"
sizes = ["60 x 3"]
[[rule]]
id = "remembered"
kind = "bends"
applies = "main hoop"
most = 9
provenance = "not verified"
[[rule]]
id = "asked"
kind = "question"
question = "Are all welds finished all round?"
"""


def kept(served):
    return json.loads((served.project / "cage.json").read_text(encoding="utf-8"))


def seen_from_above(page, words):
    return page.get_by_text(words, exact=True).bounding_box()["y"]


def unfold(page, words):
    page.locator(".q-expansion-item .q-item", has_text=words).first.click()
    page.wait_for_function(OPEN, arg=words)


def step_of(page):
    return int(page.get_by_role("status").filter(has_text="saved, step").inner_text().split()[-1])


def opened_again(page, tab):
    page.reload()
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.get_by_role("tab", name=tab).click()


def another_book(served, name):
    """A book that somebody puts into the project's folder: the page lists it when it reads the books again."""
    text = BOOK.replace("my-club", name)
    (served.project / "books" / f"{name}.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("size", SIZES)
def test_a_book_is_brought_chosen_and_held_to(served, page_of, screenshot, tmp_path, size):
    (tmp_path / "my-club.toml").write_text(BOOK)
    page = opened(page_of, served, "Rule book", **size)
    page.get_by_text("This cage is not held to a rule book yet.").wait_for()
    page.get_by_label("Weight and what it counts").fill("2600 lb listed")
    page.get_by_text("1179 kg, as listed by the club, driver included").wait_for()
    screenshot(page, f"car-{len(size)}")
    page.get_by_role("button", name="Keep the car").click()
    page.get_by_text("weight, as listed by the club, driver included: 1179 kg (2600 lb)").wait_for()
    (tmp_path / "bad.toml").write_text(BOOK.replace("sizes", "sise"))
    file = page.get_by_label("Choose a rule book file")
    file.set_input_files(tmp_path / "bad.toml")
    page.get_by_text(re.compile("bad.toml, line 12")).first.wait_for()
    file.set_input_files(tmp_path / "my-club.toml")
    page.get_by_role("button", name="Choose this edition for the cage").click()
    page.get_by_text("Held to my-club, edition 2026").first.wait_for()
    unfold(page, "The cage held to the book")
    page.get_by_role("button", name="Hold the cage to the book").click()
    expect(row(page, "hoop\nMH")).to_contain_text("✗ FAIL", timeout=LONG_MS)
    row(page, "hoop\nMH").get_by_role("button").click()
    page.wait_for_function("document.querySelector('.hw-item.chosen')?.innerText.startsWith('MH')")
    row(page, "remembered").get_by_role("button").click()
    page.get_by_text("it was only remembered, so it is off").wait_for()
    screenshot(page, f"rule-off-{len(size)}")
    page.get_by_role("button", name="I have compared it: turn it on").click()
    page.get_by_text("You confirmed this line against the book.").wait_for(timeout=LONG_MS)
    row(page, "asked").get_by_role("button").click()
    page.get_by_text("Rule asked, cage", exact=True).wait_for()
    page.get_by_label("What you found").click()
    page.get_by_role("option", name="it holds", exact=False).first.click()
    page.get_by_label("What was measured or seen, and how").fill("looked at every one")
    page.get_by_label("Who says so").fill("Anna")
    keep = page.get_by_role("button", name="Keep this answer")
    answered(page)  # the page has rolled to the rule
    # a click rolls to what it presses by itself
    keep.scroll_into_view_if_needed()
    before = seen_from_above(page, "Rule asked, cage")
    another_book(served, "next-door")
    keep.click()
    page.get_by_text("Anna: pass. looked at every one").wait_for(timeout=LONG_MS)
    # every edit has the books read again: that rolls nobody back to them from the rule that he is at
    row(page, "next-door").wait_for()
    answered(page)
    assert seen_from_above(page, "Rule asked, cage") == pytest.approx(before, abs=40)
    assert grave_faults(page, "Rule book") == []
    screenshot(page, f"rules-{len(size)}")
    assert kept(served)["book"]["confirmed"] == ["remembered"]
    # its text may be changed in a text editor, too
    (served.project / "books" / "my-club.toml").write_text(f"{BOOK}# looked through\n")
    page.get_by_role("group", name="Units").get_by_role("button", name="in").click()
    page.get_by_text("OLD: the text of the book has changed since").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("OLD: the project has changed since").wait_for()


def test_a_book_is_edited_in_two_windows(served, page_of, screenshot, tmp_path):
    books = served.project / "books"
    books.mkdir()
    (books / "my-club.toml").write_text(BOOK)
    pages = [opened(page_of, served, "Rule book") for _ in range(2)]
    for page in pages:
        row(page, "my-club").get_by_role("button").click()
        page.get_by_role("button", name="Edit its text").click()
        page.get_by_label("Text of my-club.toml").wait_for()
    first, second = pages
    field = first.get_by_label("Text of my-club.toml")
    field.fill(BOOK.replace("sizes", "sise"))
    first.get_by_text(re.compile("my-club.toml, line 12")).first.wait_for()
    screenshot(first, "book-faults")
    assert grave_faults(first, "editing a book") == []
    first.get_by_role("button", name="Keep it").click()
    first.get_by_text("Nothing was kept").wait_for()
    assert (books / "my-club.toml").read_text() == BOOK
    field.fill(BOOK.replace("60 x 3", "45 x 2.5"))
    first.get_by_text("no fault found, not kept yet").wait_for()
    first.get_by_role("button", name="Keep it").click()
    first.get_by_text("my-club.toml kept").wait_for()
    second.get_by_label("Text of my-club.toml").fill(BOOK.replace("60 x 3", "50 x 2"))
    second.get_by_text("no fault found, not kept yet").wait_for()
    second.get_by_role("button", name="Keep it").click()
    second.get_by_text("WEB-120").first.wait_for()
    expect(second.get_by_label("Text of my-club.toml")).to_have_value(re.compile("50 x 2"))
    assert "45 x 2.5" in (books / "my-club.toml").read_text()
    # what one window changes of the project takes nothing from the text that another has open
    first.get_by_role("button", name="Close").click()
    first.get_by_label("Number stamped on the cage").fill("26-1")
    step = step_of(second)
    another_book(served, "next-door")
    first.get_by_role("button", name="Keep the car").click()
    second.get_by_text(f"✓ saved, step {step + 1}", exact=True).wait_for()
    row(second, "next-door").wait_for()
    answered(second)
    expect(second.get_by_label("Text of my-club.toml")).to_have_value(re.compile("50 x 2"))


def test_a_book_is_begun_with_rules_put_in_by_kind(served, page_of, screenshot):
    page = opened(page_of, served, "Rule book")
    page.get_by_label("Name of a new book").fill("mine-2026")
    page.get_by_role("button", name="Write a book of your own").click()
    field = page.get_by_label("Text of mine-2026.toml")
    field.wait_for()
    # a dialog takes the keyboard when it has come up, which shuts a list that was opened before
    at_rest(page)
    about = page.get_by_label("What the rule is about")
    about.click()
    about.press_sequentially("ovality")
    page.get_by_role("option", name="ovality").first.click()
    page.get_by_text("two widths measured in each bend").wait_for()
    page.get_by_role("button", name="Put it in at the end").click()
    page.get_by_text("no fault found, not kept yet").wait_for()
    expect(field).to_have_value(re.compile(r"(\[\[rule\]\][\s\S]*){2}"))
    assert field.input_value().count("[[rule]]") == 2
    screenshot(page, "book-begun")
    assert grave_faults(page, "beginning a book") == []
    page.get_by_role("button", name="Keep it").click()
    page.get_by_text("mine-2026.toml kept").wait_for()
    assert 'kind = "ovality"' in (served.project / "books" / "mine-2026.toml").read_text()
    page.get_by_role("button", name="Close").click()
    page.get_by_label("Look for a book").fill("mine title")
    expect(page.locator(".hw-books tbody tr")).to_have_count(1)
    row(page, "mine-2026").get_by_role("button").click()
    page.get_by_role("button", name="Choose this edition for the cage").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_sticks_are_planned_and_a_cage_is_weighed(served, page_of, screenshot, size):
    page = opened(page_of, served, "Sticks", **size)
    page.get_by_text("Not planned yet.").wait_for()
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_text("To buy", exact=True).wait_for(timeout=LONG_MS)
    page.get_by_role("img", name=re.compile("^Stick 1: .*")).first.wait_for()
    page.get_by_text("✓ proven").first.wait_for()
    screenshot(page, f"sticks-{len(size)}")
    page.get_by_role("button", name="Saw list, labels, order list").click()
    page.get_by_role("link", name="saw-labels.pdf").wait_for()
    assert (served.project / "papers" / "saw-list.pdf").read_bytes().startswith(b"%PDF")
    assert grave_faults(page, "Sticks") == []
    page.get_by_role("tab", name="Cost").click()
    page.get_by_role("button", name="Weigh and price the cage").click()
    page.get_by_text("Nothing is priced yet").wait_for(timeout=LONG_MS)
    page.get_by_role("button", name="Show the centre of mass").click()
    page.wait_for_function("hoopwrightView.marks.kept.get('place')?.length === 1")
    screenshot(page, f"cost-{len(size)}")
    page.get_by_role("button", name="Quote as PDF").click()
    page.get_by_role("link", name="quote.pdf").wait_for()
    unfold(page, "Against another layout")
    page.get_by_label("An earlier step of this project").fill("3")
    page.get_by_role("button", name="Compare").click()
    page.get_by_role("cell", name="mass of all, kg").first.wait_for(timeout=LONG_MS)
    assert grave_faults(page, "Cost") == []
    screenshot(page, f"compared-{len(size)}")


def test_rates_typed_in_fields_and_under_sticks_are_there_after_a_reload(served, page_of, screenshot):
    rates = served.project / "rates.toml"
    rates.write_text('# ours\n[price]\nper_hour = ""  # of work\n', encoding="utf-8")
    page = opened(page_of, served, "Cost")
    unfold(page, "Your usual rates")
    page.get_by_label("An hour of work").fill("85")
    page.get_by_label("Minutes a bend", exact=True).fill("10")
    page.get_by_label("Tax, %").fill("120")
    page.get_by_role("button", name="Keep these rates").click()
    page.get_by_text("120 percent is more than 100").first.wait_for()
    assert "85" not in rates.read_text(encoding="utf-8")
    page.get_by_label("Tax, %").fill("8.1")
    page.get_by_role("button", name="Keep these rates").click()
    page.get_by_text("Total of what is priced").wait_for(timeout=LONG_MS)
    text = rates.read_text(encoding="utf-8")
    assert text.startswith('# ours\n[price]\nper_hour = "85"  # of work\n')
    assert 'percent = "8.1"' in text
    assert grave_faults(page, "Cost") == []
    screenshot(page, "rates-in-fields")
    page.get_by_role("tab", name="Sticks").click()
    unfold(page, "Sticks and saw")
    page.get_by_label("Price", exact=True).fill("4.20/m")
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_text("Price kept with your rates").wait_for(timeout=LONG_MS)
    opened_again(page, "Sticks")
    unfold(page, "Sticks and saw")
    page.get_by_text("at 4.2 a metre").wait_for()
    page.get_by_role("tab", name="Cost").click()
    unfold(page, "Your usual rates")
    expect(page.get_by_label("Tax, %")).to_have_value("8.1")
    expect(page.get_by_label("An hour of work")).to_have_value("85")


@pytest.fixture
def with_shop(project, tmp_path):
    with serving(project, log=tmp_path / "log", shop=str(tmp_path / "shop.sqlite")) as running:
        yield running


def test_tube_that_came_is_sawn_and_that_is_taken_back(with_shop, page_of, screenshot):
    served = with_shop
    page = opened(page_of, served, "Sticks")
    unfold(page, "Tube that came")
    for batch, tube in (("B1", "45 x 2.5"), ("B2", "38 x 2.5")):
        page.get_by_label("Batch", exact=True).fill(batch)
        page.get_by_label("Tube, outside x wall").fill(tube)
        page.get_by_label("Heat number").fill(f"471163{batch}")
        page.get_by_label("How many came").fill("6")
        page.get_by_role("button", name="Put it on the rack").click()
        page.get_by_text(re.compile(f"6 sticks on the rack: {batch}-1 to {batch}-6")).wait_for()
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_text("Nothing: the rack holds it all.").wait_for(timeout=LONG_MS)
    page.get_by_role("button", name="It was sawn").click()
    page.get_by_role("button", name="Yes, it was sawn").click()
    page.get_by_role("button", name="Take this recording back").wait_for()
    assert {used["heat_number"][:6] for used in kept(served)["tubes_used"]} == {"471163"}
    screenshot(page, "sawn")
    opened_again(page, "Sticks")
    page.get_by_text("All bars are sawn").wait_for()
    unfold(page, "On the rack of the shop")
    page.get_by_role("cell", name="471163B1").first.wait_for()
    unfold(page, "Sticks and saw")
    page.get_by_label("Only these bars").fill("MH")
    page.get_by_role("button", name="Plan the cuts").click()
    page.get_by_role("img", name=re.compile("^Stick 1: MH ")).wait_for(timeout=LONG_MS)
    assert grave_faults(page, "Sticks") == []
    screenshot(page, "sawn-again")
    page.get_by_role("button", name="Take this recording back").click()
    page.get_by_text("taken back").wait_for()
    assert {used["heat_number"] for used in kept(served)["tubes_used"][-1:]} == {""}


def test_a_tube_of_the_book_is_taken_for_a_pair(served, page_of, screenshot):
    (served.project / "books").mkdir()
    (served.project / "books" / "my-club.toml").write_text(
        BOOK.replace('"main hoop"', '"side bar"').replace("60 x 3", "50 x 2")
    )
    page = opened(page_of, served, "Tubes")
    page.get_by_text("Choose a rule book first").wait_for()
    page.get_by_role("tab", name="Rule book").click()
    row(page, "my-club").get_by_role("button").click()
    page.get_by_role("button", name="Choose this edition for the cage").click()
    page.get_by_text("Held to my-club, edition 2026").first.wait_for()
    page.get_by_role("tab", name="Tubes").click()
    choose(page, "SB-L")
    page.get_by_role("button", name="Which tubes are allowed").click()
    page.locator(".hw-picks tbody tr").first.get_by_role("button").click()
    screenshot(page, "tubes")
    page.get_by_role("button", name="Take it for SB-L").click()
    page.get_by_text("SB-L, SB-R changed.").wait_for()
    screenshot(page, "tubes-taken")
    assert grave_faults(page, "Tubes") == []
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("SB-L is drawn in 45 x 2.5 mm").wait_for()
