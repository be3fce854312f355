// What several moments share.

import type { Op, State, Step } from "./contract";
import { angleText, lengthText } from "./figures";
import { asShown } from "./shown";
import type { Acts } from "./known";
import type { Picture, View } from "./view";

export function backOr(state: State, acts: Acts): NonNullable<View["back"]> {
  const isFirst = state.taken.length === 0;
  return isFirst ? { label: "Back", act: acts.back } : { label: "Back: last reading", act: () => acts.go("last") };
}

export function pose(step: Step): Picture {
  return { svg: step.pictures["pose"] ?? "", name: `bend ${step.bend}, seen from behind the tail` };
}

export function differs(given: number | undefined, asked: number | null, unit: string): string[] {
  if (given === undefined || asked === null) return [];
  return [`Typed; ${asShown(asked, 1)}${unit} was asked.`];
}

/** What is still on this screen, in a line. */
export function opText(op: Op): string {
  switch (op.sent.what) {
    case "reading":
      return `step ${op.step}: reads ${angleText(op.sent.released_deg, 2)}`;
    case "correction":
      return `record ${op.sent.of} put right: ${angleText(op.sent.released_deg, 2)}`;
    case "taking-back":
      return `record ${op.sent.of} taken back`;
    case "distance":
      return `${op.sent.name} ${lengthText(op.sent.measured_mm, "mm")}`;
    case "decision":
      return op.sent.go_on ? "go on" : "scrap";
  }
}
