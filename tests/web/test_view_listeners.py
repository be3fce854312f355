"""Who follows the picture is told of one thing at once."""

import asyncio

from nicegui import Client
from nicegui.events import GenericEventArguments
from nicegui.page import page

from hoopwright.web.viewport import Viewport


def test_a_click_that_ends_a_wish_is_seen_by_all_as_it_was_wished():
    """A click on a bar that was picked as a place had chosen that bar, too, when the place was found fast enough."""
    wished, seen = [True], []

    async def picked(told):
        await asyncio.sleep(0)
        wished[0] = False

    with Client(page("")) as client:
        view = Viewport(base="/seen/")
        view.when("bar", picked)
        view.when("bar", lambda told: seen.append((wished[0], told)))
        (listener,) = [one for one in view._event_listeners.values() if one.type == "bar"]

        async def click():
            await listener.handler(GenericEventArguments(sender=view, client=client, args={"bar_id": "MH"}))

        asyncio.run(click())
    assert seen == [(True, {"bar_id": "MH"})]
    assert wished == [False]
