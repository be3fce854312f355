// What a reading means, as `bender/rescue/reading.py`, `session.py` and `refusals.py` say it, for when the network is away.
// A test holds both against each other.

import type { Bar, Check, Pending, Step } from "./contract";

export interface Judged {
  answer: "go on" | "add" | "over";
  off_deg: number;
  add_deg: number | null;
  command_deg: number | null;
}

export function judge(
  released: number,
  target: number,
  band: number,
  perCommand: number | null,
  load: number | null,
  reach: number,
): Judged {
  const off = released - target;
  if (Math.abs(off) <= band + 1e-9) return { answer: "go on", off_deg: off, add_deg: null, command_deg: null };
  if (off > 0) return { answer: "over", off_deg: off, add_deg: null, command_deg: null };
  const add = -off / (1 - (perCommand ?? 0));
  const command = load === null ? null : load + add;
  if (command !== null && command > reach) return { answer: "over", off_deg: off, add_deg: null, command_deg: null };
  return { answer: "add", off_deg: off, add_deg: add, command_deg: command };
}

export type Doubt = "" | "BEND-001" | "BEND-002" | "BEND-009";

const LESS_DEG = 0.05;
const UNLIKELY_DEG = 3;
const SLACK_DEG = 0.5;
const FARTHEST_MARK_MM = 100;

/** Why a reading would not be taken, as the workbench would say; empty where nothing speaks against it. */
export function doubt(
  bar: Pick<Bar, "die_reach_deg" | "blank_mm" | "line">,
  step: Pick<Step, "mark_mm" | "sheet_mark_mm">,
  pending: Pending | null,
  asked: number | null,
  given: { released_deg: number; command_deg?: number; turned_deg?: number; mark_mm?: number },
): Doubt {
  const { released_deg: released, command_deg: command, turned_deg: turned, mark_mm: mark } = given;
  const reach = bar.die_reach_deg;
  const within = (value: number | undefined, least: number, most: number) =>
    value === undefined || (value >= least && value <= most);
  if (!within(released, 0, Math.min(reach, 175)) || !within(command, 0, reach)) return "BEND-001";
  if (!within(turned, -360, 360) || !within(mark, 0, bar.blank_mm)) return "BEND-001";
  if (mark !== undefined) {
    if (Math.min(Math.abs(mark - step.mark_mm), Math.abs(mark - step.sheet_mark_mm)) > FARTHEST_MARK_MM) return "BEND-001";
  }
  if (command !== undefined && released > command) return "BEND-001";
  const load = command ?? asked;
  if (load !== null && bar.line !== null) {
    const seen = load - released;
    const expected = bar.line[0] + bar.line[1] * load;
    if (!(Math.min(0, expected) - SLACK_DEG <= seen && seen <= expected + UNLIKELY_DEG)) return "BEND-009";
  }
  if (pending !== null && released < pending.released_deg - LESS_DEG) return "BEND-002";
  return "";
}

/** Whether a distance lies where some bend of the bar could have brought it; the workbench refuses any other. */
export function canBe(check: Pick<Check, "least_mm" | "most_mm">, measured_mm: number): boolean {
  return measured_mm >= check.least_mm && measured_mm <= check.most_mm;
}

/** In (-180, 180]. */
export function wrapDeg(angle: number): number {
  const turned = ((angle % 360) + 360) % 360;
  return turned > 180 ? turned - 360 : turned;
}
