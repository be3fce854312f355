"""How many windows have the project open, on the page."""

from nicegui import ui

from hoopwright.web.door.asking import Asker
from hoopwright.web.present import Present

_LOOK_S = 1.0


def show_presence(present: Present, asker: Asker) -> None:
    """Count this page's window, and show how many there are."""
    client = ui.context.client
    label = ui.label("").classes("hw-soft").props('role="status"')
    client.on_connect(lambda: present.come(client.id, asker.name))
    client.on_disconnect(lambda: present.go(client.id))
    client.on_delete(lambda: present.go(client.id))
    ui.timer(_LOOK_S, lambda: label.set_text(present.words()))
