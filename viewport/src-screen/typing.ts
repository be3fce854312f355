// The screen on which a number is typed.

import { askedOf, nudged, rounded, shown, valueOf } from "./entry";
import { angleText, lengthText } from "./figures";
import type { Known } from "./known";
import type { Place } from "./place";
import { asShown } from "./shown";
import type { View } from "./view";

export interface TypingActs {
  move(change: Partial<Place>): void;
  entered(value: number): void;
  back(): void;
}

export function typingView(known: Known, acts: TypingActs): View {
  const { place, settings } = known;
  const asked = askedOf(known, place.typing);
  const [large, small] = asked.steps;
  const wanted = String(asked.unit === "in" ? rounded(asked.wanted, asked) : asShown(asked.wanted, 1));
  const to = (by: number) => () => acts.move({ text: nudged(place.text, by, asked) });
  const value = valueOf(place.text, asked);
  const figure = shown(place.text, asked);
  const isRead = place.typing === "read" || place.typing === "fix";
  const label = asked.unit === "°" ? angleText(asked.wanted, 2) : lengthText(asked.unit === "in" ? asked.wanted * 25.4 : asked.wanted, settings.unit);
  return {
    id: `typing ${place.typing} ${place.at} ${place.keysOpen}`,
    question: asked.question,
    entry: {
      text: figure.whole,
      unit: figure.unit,
      wanted,
      isOpen: place.keysOpen,
      nudges: [
        [`-${large}`, to(-large)], [`-${small}`, to(-small)], [`=${wanted}`, () => acts.move({ text: wanted })],
        [`+${small}`, to(small)], [`+${large}`, to(large)],
      ],
    },
    note: place.keysOpen ? [] : [`${label} ${isRead ? "is wanted" : "was asked"}.`],
    done: { label: Number.isNaN(value) ? "Type it first" : isRead ? "That is what it reads" : "That is it", act: () => acts.entered(value), off: Number.isNaN(value) },
    other: { label: "Number keys", act: () => acts.move({ keysOpen: true }) },
    back: { label: "Back", act: () => (isRead ? acts.back() : acts.move({ typing: "", text: "" })) },
  };
}
