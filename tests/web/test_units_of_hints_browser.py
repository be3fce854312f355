"""What stands below a field follows the units switch, as everything else on the page does."""

import pytest

from hoopwright.web.entries import place_words


def test_a_place_in_words_has_the_unit_of_the_page():
    """35 7/16 in is 900.1 mm, 24 in is 609.6 mm: sixteenths, as lengths are shown elsewhere."""
    place = (-900.0, 610.0, 0.0)
    assert place_words(place) == "900.0 back, 610.0 left, 0.0 up mm"
    assert place_words(place, "in") == '35 7/16" back, 24" left, 0" up'


@pytest.mark.slow
def test_hints_and_places_follow_the_switch(small, serve_folder, page_of):
    page = page_of(serve_folder(small).url)
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name="Joints", exact=True).click()
    page.get_by_text("Gussets and ties", exact=True).click()
    page.get_by_text("Add one", exact=True).click()
    page.get_by_text("of a tie 120 mm").wait_for()
    page.get_by_label("Inside the corner, or the middle of a tie").fill("-900, 610, 0")
    page.get_by_text("= 900.0 back, 610.0 left, 0.0 up mm").wait_for()
    page.get_by_role("button", name="in", exact=True).click()
    page.get_by_text('= 35 7/16" back, 24" left, 0" up').wait_for()
    page.get_by_text('of a tie 4 3/4"').wait_for()
    # a place that is typed in inches is read as inches, whatever the page shows
    page.get_by_label("Inside the corner, or the middle of a tie").fill('-35 1/2", 24", 0')
    page.get_by_text('= 35 1/2" back, 24" left, 0" up').wait_for()
    page.get_by_role("button", name="mm", exact=True).click()
    page.get_by_text("= 901.7 back, 609.6 left, 0.0 up mm").wait_for()
    page.get_by_text("of a tie 120 mm").wait_for()
