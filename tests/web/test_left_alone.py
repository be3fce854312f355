"""A length that stands in a field in inches, rounded to be read, is kept as it was while nobody types in it."""

import pytest
from nicegui import Client
from nicegui.page import page

from hoopwright.units import format_length
from hoopwright.web.entries import length_entry


@pytest.fixture
def on_a_page():
    with Client(page("/"), request=None) as client, client.layout:
        yield
    client.delete()


@pytest.mark.usefixtures("on_a_page")
def test_what_is_left_alone_is_not_rounded():
    # 5 7/16 in is 138.1125 mm, by the inch of 25.4 mm
    entry = length_entry("radius", value=format_length(137.5, "in"), stands_for_mm=137.5)
    assert entry.text == '5 7/16"'
    assert entry.value() == 137.5
    assert entry.understood.text.startswith("= 137.5 mm")
    entry.put('5 1/2"')
    assert entry.value() == pytest.approx(139.7)
    entry.put("")
    assert entry.maybe() is None
