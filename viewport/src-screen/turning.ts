// How far and which way the tube is turned, with the wrong way beside the right one.

import { angleFigure, clockText } from "./figures";
import type { Acts, Known, Made } from "./known";
import { stepOf } from "./local";
import type { Picture } from "./view";
import { differs, pose } from "./words";

export function turning({ bar, state, settings, place }: Known, acts: Acts): Made {
  const step = stepOf(bar, state.step);
  const turn = step.turn_deg;
  if (turn === null) {
    return {
      question: "First bend: set the protractor to",
      figure: { whole: "0.0", fraction: "", unit: "°" },
      pictures: [pose(step)],
      done: { label: "Zeroed", act: acts.next },
      back: { label: "Back", act: acts.back },
    };
  }
  const shown = place.given.turned_deg ?? turn;
  const isTurned = Math.abs(shown) >= 0.05;
  const way = shown > 0 ? "CLOCKWISE" : "ANTICLOCKWISE";
  const pictures: Picture[] = [];
  if (step.pictures["turn"]) pictures.push({ svg: step.pictures["turn"], name: "RIGHT" });
  if (step.pictures["wrong_turn"]) pictures.push({ svg: step.pictures["wrong_turn"], name: "WRONG", isWrong: true });
  return {
    question: isTurned ? `Turn ${way}` : `No turn: bend ${step.turn_from_bend} stays level`,
    figure: angleFigure(Math.abs(shown), settings.gauge),
    note: [...(isTurned ? [`Seen from the tail, from bend ${step.turn_from_bend}.${step.leg_hour === null ? "" : ` Its leg then points to ${clockText(step.leg_hour)}.`}`] : []), ...differs(place.given.turned_deg, turn, "°")],
    extra: step.words,
    pictures: pictures.length ? pictures : [pose(step)],
    done: { label: isTurned ? "Turned" : "It is level", act: acts.next },
    other: { label: "It is turned otherwise", act: () => acts.type("turn") },
    back: { label: "Back", act: acts.back },
  };
}
