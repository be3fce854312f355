// Where the person is within the bar: which moment of which bend, and what he typed of it so far.

import type { Bar, State } from "./contract";

export type Moment =
  | "take" | "batch" | "datum" | "mark" | "end" | "load" | "turn" | "slack" | "pull" | "read" | "doubt" | "add" | "leave"
  | "slip" | "decide" | "measure" | "beyond" | "done" | "scrapped" | "last" | "scrap" | "fix";

/** What is typed at the moment, when the number is not as asked. */
export type Typing = "" | "mark" | "turn" | "pull" | "read" | "slip" | "measure" | "fix";

export interface Place {
  stick: string;
  number: number;
  moment: Moment;
  /** Which mark, or which distance to measure. */
  at: number;
  typing: Typing;
  text: string;
  keysOpen: boolean;
  /** What was really done at this bend, where it was not as asked. */
  given: { turned_deg?: number; mark_mm?: number; command_deg?: number };
  doubt: string;
}

export function startPlace(bar: Bar, state: State): Place {
  return {
    stick: state.stick,
    number: state.number,
    ...startSpot(bar, state),
    typing: "",
    text: "",
    keysOpen: false,
    given: {},
    doubt: "",
  };
}

/** The first moment of what is asked now; of a bent bar the first distance that was not taped. */
function startSpot(bar: Bar, state: State): Spot {
  const taped = new Set(state.taped.map((one) => one.name));
  const at = state.phase === "done" ? bar.checks.findIndex((check) => !taped.has(check.key)) : 0;
  return at < 0 ? { moment: "done", at: 0 } : { moment: startMoment(bar, state), at };
}

function startMoment(bar: Bar, state: State): Moment {
  switch (state.phase) {
    case "add":
      return "add";
    case "decide":
      return "decide";
    case "scrapped":
      return "scrapped";
    case "done":
      return "measure";
    case "bend":
      return state.taken.length === 0 && state.step === 1 ? "take" : firstOfBend(bar, state);
  }
}

export function firstOfBend(bar: Bar, state: State): Moment {
  const step = bar.steps[state.step - 1];
  return step && (state.step === 1 || step.turn_end_for_end) ? "end" : "load";
}

export interface Spot {
  moment: Moment;
  at: number;
}

/** The moments of what is asked now, in their order. */
export function order(bar: Bar, state: State): Spot[] {
  const spots: Spot[] = [];
  const put = (moment: Moment, at = 0): void => void spots.push({ moment, at });
  if (state.phase === "add") return (["add", "pull", "read"] as const).map((moment) => ({ moment, at: 0 }));
  if (state.phase !== "bend") return [];
  if (state.step === 1) {
    put("take");
    if (bar.steps.some((step) => step.turn_deg !== null && Math.abs(step.turn_deg) > 0.005)) put("datum");
    bar.steps.forEach((_, at) => put("mark", at));
  }
  if (firstOfBend(bar, state) === "end") put("end");
  for (const moment of ["load", "turn", "slack", "pull", "read"] as const) put(moment);
  return spots;
}

export function neighbour(bar: Bar, state: State, place: Place, by: 1 | -1): Spot | null {
  const spots = order(bar, state);
  const here = spots.findIndex((spot) => spot.moment === place.moment && spot.at === place.at);
  return here < 0 ? null : (spots[here + by] ?? null);
}

/** The marks in their order along the tube, so that the tape runs one way. */
export function marksAlong(bar: Bar): number[] {
  return bar.steps.map((_, at) => at).sort((a, b) => bar.steps[a]!.mark_mm - bar.steps[b]!.mark_mm);
}
