"""The bender in its room: plain numbers in fields, what stands about as text."""

from collections.abc import Mapping
from types import MappingProxyType

from nicegui import ui

from hoopwright.jobs.room_texts import RoomParts, RoomValue, Thing, example_parts, room_text, with_thing
from hoopwright.web.entries import length_entry

_LENGTHS: Mapping[str, tuple[str, str]] = MappingProxyType({
    "axis_height_mm": ("Floor to the tube in the die", "to the middle of the tube; needed"),
    "clamp_mm": ("Straight for the clamp", "what it needs ahead of the bend; needed"),
    "tail_mm": ("Straight for the tail", "as for the clamp when left out"),
    "keep_clear_mm": ("Clearance to everything", "nothing when left out"),
    "ceiling_mm": ("Ceiling over the floor", "not checked when left out"),
    "wall_ahead_mm": ("Die to the wall ahead", "ahead is where the tube is fed to"),
    "wall_behind_mm": ("Die to the wall behind", "not checked when left out"),
    "wall_left_mm": ("Die to the wall on the left", "as seen from the tail"),
    "wall_right_mm": ("Die to the wall on the right", "as seen from the tail"),
})  # fmt: skip
_SWINGS = MappingProxyType(
    {"": "not said yet", "clockwise": "clockwise", "anticlockwise": "anticlockwise", "both": "both ways"}
)
_LIES: Mapping[str, tuple[str, RoomValue]] = MappingProxyType({
    "level": ("level", 0.0),
    "upright": ("upright, its right side up", 90.0),
    "either": ("level or upright", [0.0, 90.0]),
})  # fmt: skip
_THINGS: tuple[tuple[str, Thing], ...] = (
    ("Add where I stand", "operator"),
    ("Add a post", "post"),
    ("Add a bench or box", "box"),
)


class RoomForm:
    """The fields; `text` is the room file that they make."""

    def __init__(self) -> None:
        fields = ui.element("div").classes("w-full")
        with fields.style(
            "display: grid; grid-template-columns: repeat(auto-fit, minmax(210px, 1fr)); gap: 4px 12px"
        ):
            self._lengths = {key: length_entry(label, hint=hint) for key, (label, hint) in _LENGTHS.items()}
        self._swings = ui.select(dict(_SWINGS), value="", label="From above, the leading end swings")
        self._lies = ui.select(
            {key: words for key, (words, _) in _LIES.items()}, value="level", label="The bend plane is"
        )
        for one in (self._swings, self._lies):
            one.props("dense outlined").classes("w-full")
        self._things = ui.textarea("What stands about, as text", value="").props("outlined dense rows=5")
        self._things.classes("w-full")
        with ui.row().classes("w-full items-center gap-2"):
            for words, thing in _THINGS:
                ui.button(words, on_click=lambda _, thing=thing: self._add(thing)).props("flat dense")
            ui.button("Fill in an example", on_click=self._fill).props("flat dense")

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed yet."""
        return (
            not any(entry.text for entry in self._lengths.values())
            and not str(self._things.value or "").strip()
        )

    def text(self) -> str:
        """The room file that was typed.

        Raises:
            UserError: `UNIT-...` for a length that cannot be read.
        """
        values: dict[str, RoomValue] = {
            key: entry.value() for key, entry in self._lengths.items() if entry.text
        }
        things = str(self._things.value or "")
        if self._swings.value:
            values["swings"] = str(self._swings.value)
        if self._lies.value != "level" or "tilt_deg" not in things:
            values["tilt_deg"] = _LIES[str(self._lies.value)][1]
        return room_text(things, values)

    def put(self, parts: RoomParts) -> None:
        """Put a room into the fields; what has no field stands above what stands about, as text."""
        rest = dict(parts.values)
        for key, entry in self._lengths.items():
            value = rest.pop(key, "")
            entry.put(value if isinstance(value, str) else f"{value:g}")
        swings = str(rest.get("swings", ""))
        self._swings.set_value(swings if swings in _SWINGS else "")
        if swings in _SWINGS:
            rest.pop("swings", None)
        lies = next((key for key, (_, tilt) in _LIES.items() if tilt == rest.get("tilt_deg")), None)
        if lies is not None:
            del rest["tilt_deg"]
        self._lies.set_value(lies or "level")
        self._things.set_value(room_text(parts.things, rest))

    def _add(self, thing: Thing) -> None:
        self._things.set_value(with_thing(str(self._things.value or ""), thing))

    def _fill(self) -> None:
        example = example_parts()
        for key, entry in self._lengths.items():
            entry.put(f"{example.values[key]:g}" if key in example.values else "")
        self._swings.set_value(example.values["swings"])
        self._lies.set_value("level")
        self._things.set_value(example.things)
