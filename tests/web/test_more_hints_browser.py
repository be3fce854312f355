"""Hints of the Sticks tab, and why a landmark is where it was found, follow the units switch."""

import re

import pytest
from nicegui import Client, ElementFilter, ui
from nicegui.page import page

from hoopwright.fitting.landmark_search import FoundLandmark
from hoopwright.jobs.landmarks import FindingReport
from hoopwright.jobs.stick_words import offers_words, stick_offers
from hoopwright.jobs.typed_lengths import typed_lengths
from hoopwright.store import ProjectFolder
from hoopwright.units import told_in
from hoopwright.web.bench import Bench
from hoopwright.web.desk import Desk
from hoopwright.web.panels.landmarks import _Landmarks
from hoopwright.web.panels.sticks_asked import STICKS_IN_INCHES


def test_what_the_hints_in_inches_show_as_examples_can_be_typed():
    examples = re.findall(r"(?:or|;) (\d+'[:\d.]+)", STICKS_IN_INCHES)
    offers = stick_offers("; ".join(examples))
    assert [one.length_mm for one in offers] == pytest.approx([6096.0, 7315.2])
    assert [(one.count, one.price) for one in offers] == [(10, None), (2, 31.5)]
    pieces = typed_lengths('133 1/4"; 2 x 78 3/8"; 57 1/2"')
    assert [(one.length_mm, one.count) for one in pieces] == [
        (pytest.approx(133.25 * 25.4), 1),
        (pytest.approx(78.375 * 25.4), 2),
        (pytest.approx(57.5 * 25.4), 1),
    ]


def test_sticks_are_told_in_inches():
    """6096 mm is 240 in exactly."""
    assert told_in(offers_words(stick_offers("20':10")), "in") == '240", 10 of them'


@pytest.mark.slow
def test_hints_of_the_sticks_follow_the_switch(small, serve_folder, page_of):
    window = page_of(serve_folder(small).url)
    window.wait_for_selector("button.hw-item")
    window.get_by_role("tab", name="Sticks", exact=True).click()
    window.get_by_text("Sticks and saw", exact=True).click()
    window.get_by_text("as your rates have it, else 3 mm").wait_for()
    window.get_by_text("or 6 m:10; 7500:2:31.50").wait_for()
    window.get_by_text("A list of lengths, without a cage", exact=True).click()
    window.get_by_text("such as 3385; 2 x 1990; 1460").wait_for()
    window.get_by_role("button", name="in", exact=True).click()
    window.get_by_text('as your rates have it, else 0.118"').wait_for()
    window.get_by_text("20':10; 24':2:31.50").wait_for()
    window.get_by_text('such as 133 1/4"; 2 x 78 3/8"; 57 1/2"').wait_for()
    window.get_by_label("Sticks that can be bought").fill("20':10")
    window.get_by_text('= 240", 10 of them').wait_for()
    window.get_by_label("Lengths", exact=True).fill('2 x 60"; 3048')
    window.get_by_text('= 3 pieces, 20.0000 ft, the longest 120"').wait_for()
    window.get_by_role("button", name="mm", exact=True).click()
    window.get_by_text("= 6096.0 mm, 10 of them").wait_for()
    window.get_by_text("= 3 pieces, 6.096 m, the longest 3048 mm").wait_for()
    window.get_by_label("Lengths", exact=True).fill("")
    window.get_by_text("such as 3385; 2 x 1990; 1460").wait_for()


class _Picture(ui.element):
    """Takes the marks that the picture would show."""

    def show_marks(self, *_):
        pass


def test_why_a_landmark_was_found_follows_the_switch(small):
    found = FoundLandmark(
        place_mm=(-900.0, 610.0, 0.0),
        why="flat metal, 254 mm wide",
        doubt="metal at 0, 254, -508 mm lies between",
    )
    report = FindingReport(
        found={"hoop_foot": found},
        missing={"strut_top": "nothing stands over 508 mm high"},
        climb_deg=None,
        picked_mm={},
        stored=(),
    )
    desk = Desk(folder=ProjectFolder(path=small))
    with Client(page("/")) as client, client.layout:
        bench = Bench(desk=desk, view=_Picture("div"), seen=desk.seen(), picking=None)
        landmarks = _Landmarks(bench)
        landmarks._show_found(report)

        def told():
            return " | ".join(label.text for label in ElementFilter(kind=ui.label))

        in_mm = ("254 mm wide", "at 0, 254, -508 mm lies", "over 508 mm high", "900.0 back")
        in_inches = ('10" wide', 'at 0", 10", -20" lies', 'over 20" high', '35 7/16" back')
        assert all(words in told() for words in in_mm), told()
        bench.units = "in"
        bench.tell()
        assert all(words in told() for words in in_inches), told()
        assert " mm" not in told().partition("hoop foot")[2]
        bench.units = "mm"
        bench.tell()
        assert all(words in told() for words in in_mm), told()
        # closed, it does not come back with the next switch
        (close,) = [one for one in ElementFilter(kind=ui.button) if one.text == "Close"]
        for listener in list(close._event_listeners.values()):
            listener.handler(None)
        bench.units = "in"
        bench.tell()
        assert "wide" not in told()
    client.delete()
