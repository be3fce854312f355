"""Going to a place of the page: its tab is opened, its card unfolded and rolled into sight."""

from nicegui import ElementFilter, ui

from hoopwright.web.bench import Bench
from hoopwright.web.on_the_page import Place

_ROLL = """
(() => {
  let left = 200, found = false, acted = false;
  const acts = ["wheel", "pointerdown", "keydown", "touchstart"];
  const act = () => { acted = true; };
  acts.forEach((one) => addEventListener(one, act, {capture: true, passive: true}));
  const look = () => {
    const card = getHtmlElement(%d);
    if (card && !acted) {
      card.scrollIntoView({block: "start"});
      if (!found) (card.matches("button") ? card : card.querySelector('[role="button"], [tabindex="0"]'))?.focus();
      found = true;
    }
    if (left-- > 0 && !acted) setTimeout(look, 50);
    else acts.forEach((one) => removeEventListener(one, act, {capture: true}));
  };
  look();
})()
"""
"""The tab is drawn in the browser a moment after it was opened, and what stands above the card may be filled later
still: the card is held in sight until the person does something, for some seconds at most."""


def go_to(bench: Bench, place: Place) -> None:
    """Show a place of the page."""
    bench.open_tab(place.tab)
    card = card_of(place)
    if card is None:
        return
    for element in (card, *card.ancestors()):
        if isinstance(element, ui.expansion):
            element.set_value(True)
    card.client.run_javascript(_ROLL % card.id)


def card_of(place: Place) -> ui.element | None:
    """The card or button of a place on the page that is built here; None for a whole tab, or where it is not drawn."""
    inside = next(
        (one for one in ElementFilter(kind=ui.tab_panel) if one.props.get("name") == place.tab), None
    )
    if inside is None or not place.card:
        return None
    return next((one for one in inside.descendants() if _says(one) == place.card), None)


def _says(element: ui.element) -> str:
    if isinstance(element, ui.expansion):
        return str(element.props.get("label", ""))
    if isinstance(element, ui.label | ui.button):
        return str(element.text)
    return ""
