// Where the bar stands once what is still on this screen counts too.

import type { Bar, Op, Sent, State, Step, Taken, Taped } from "./contract";
import { judge, wrapDeg, type Judged } from "./judge";

export function withQueue(bar: Bar, queue: readonly Op[]): State {
  return queue.reduce((state, op) => after(bar, state, op), bar.state);
}

export function stepOf(bar: Bar, step: number): Step {
  const found = bar.steps[step - 1];
  if (!found) throw new Error(`the bar has no step ${step}`);
  return found;
}

/** What is to be read under load now. */
export function askedCommand(bar: Bar, state: State): number | null {
  return state.pending ? state.pending.command_deg : stepOf(bar, state.step).command_deg;
}

/** Turn and mark that are farther off than their bands. */
export function straysOf(bar: Bar, step: Step, given: { turned_deg?: number | null; mark_mm?: number | null }): string[] {
  const found: string[] = [];
  if (given.turned_deg != null && step.turn_deg !== null) {
    const off = wrapDeg(given.turned_deg - step.turn_deg);
    if (Math.abs(off) > bar.bands.turn_deg) found.push("turn");
  }
  if (given.mark_mm != null && Math.abs(given.mark_mm - step.mark_mm) > bar.bands.mark_mm) found.push("mark");
  return found;
}

export function after(bar: Bar, state: State, op: Op): State {
  const counted = { ...state, number: state.number + 1, keys: [...state.keys, op.key] };
  if (op.sent.what === "distance") return { ...counted, taped: withTaped(state.taped, op, op.sent) };
  const next = { ...counted, bend_record: counted.number };
  switch (op.sent.what) {
    case "reading":
      return read(bar, next, op, op.sent);
    case "correction":
      return corrected(bar, next, op, op.sent);
    case "taking-back":
      return { ...withoutLast(bar, next), can_take_back: false };
    case "decision":
      return decided(bar, next, op.sent);
  }
}

/** The last of each name counts, as `with_taped` of `bender/rescue/session.py` has it. */
function withTaped(taped: Taped[], op: Op, sent: Extract<Sent, { what: "distance" }>): Taped[] {
  const one = { name: sent.name, measured_mm: sent.measured_mm, at: new Date(op.at_ms).toISOString(), key: op.key };
  return [...taped.filter((had) => had.name !== one.name), one].sort((a, b) => (a.name < b.name ? -1 : 1));
}

type Given = Extract<Sent, { what: "reading" }>;

function read(bar: Bar, state: State, op: Op, given: Given, record = state.number): State {
  const step = stepOf(bar, state.step);
  const asked = askedCommand(bar, state);
  const load = given.command_deg ?? asked;
  const judged = judgedIn(bar, step, given.released_deg, load);
  const finished = judged.answer !== "add";
  const taken: Taken = {
    record,
    key: op.key,
    step: state.step,
    bend: step.bend,
    released_deg: given.released_deg,
    target_deg: step.target_deg,
    load_deg: load,
    turned_deg: given.turned_deg ?? null,
    mark_mm: given.mark_mm ?? null,
    at: new Date(op.at_ms).toISOString(),
    counts: finished,
  };
  const strays = finished ? straysOf(bar, step, given) : [];
  const off = judged.answer === "over" || strays.length > 0;
  return {
    ...state,
    taken: [...state.taken, taken],
    taped: [], // what was taped before was of a bar that is bent further now
    strays,
    can_take_back: true,
    pending: finished
      ? null
      : { released_deg: given.released_deg, load_deg: load, add_deg: judged.add_deg, command_deg: judged.command_deg },
    ...(finished ? next(bar, state.step, off) : { phase: "add" as const, step: state.step }),
  };
}

function judgedIn(bar: Bar, step: Step, released: number, load: number | null): Judged {
  return judge(released, step.target_deg, bar.bands.angle_deg, bar.line?.[1] ?? null, load, bar.die_reach_deg);
}

function next(bar: Bar, finished: number, mustDecide: boolean): Pick<State, "phase" | "step"> {
  const last = bar.steps.length;
  const step = Math.min(finished + 1, last);
  if (mustDecide) return { phase: "decide", step };
  return { phase: finished === last ? "done" : "bend", step };
}

/** The state before the last reading, which was not decided on since. */
function withoutLast(bar: Bar, state: State): State {
  const last = state.taken[state.taken.length - 1];
  if (!last) return state;
  const before = state.taken.slice(0, -1);
  const earlier = before[before.length - 1];
  const pending = earlier && earlier.step === last.step && !earlier.counts ? earlier : null;
  const judged = pending && judgedIn(bar, stepOf(bar, last.step), pending.released_deg, pending.load_deg);
  return {
    ...state,
    taken: before,
    taped: [],
    step: last.step,
    strays: [],
    phase: pending ? "add" : "bend",
    pending: pending && {
      released_deg: pending.released_deg,
      load_deg: pending.load_deg,
      add_deg: judged?.add_deg ?? null,
      command_deg: judged?.command_deg ?? null,
    },
  };
}

function corrected(bar: Bar, state: State, op: Op, sent: Extract<Sent, { what: "correction" }>): State {
  const last = state.taken[state.taken.length - 1];
  if (!last || last.record !== sent.of) return state;
  const given: Given = { what: "reading", released_deg: sent.released_deg };
  const command = sent.command_deg ?? last.load_deg;
  if (command !== null) given.command_deg = command;
  if (last.turned_deg !== null) given.turned_deg = last.turned_deg;
  const mark = sent.mark_mm ?? last.mark_mm;
  if (mark !== null) given.mark_mm = mark;
  return { ...read(bar, withoutLast(bar, state), op, given, last.record), taped: state.taped };
}

function decided(bar: Bar, state: State, sent: Extract<Sent, { what: "decision" }>): State {
  if (!sent.go_on) return { ...state, phase: "scrapped", can_take_back: false };
  const taken = state.taken.map((one, at) =>
    state.pending && at === state.taken.length - 1 ? { ...one, counts: true } : one,
  );
  const finished = taken.filter((one) => one.counts).length;
  return { ...state, taken, pending: null, strays: [], can_take_back: false, ...next(bar, finished, false) };
}
