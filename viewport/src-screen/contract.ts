// What the server tells and takes; `src/hoopwright/web/screen/keys.py` and `sent.py` are the other side.

export interface Finding {
  code: string;
  sentence: string;
  todo?: string;
}

export type Phase = "bend" | "add" | "decide" | "done" | "scrapped";

export interface Taken {
  record: number;
  key: string;
  step: number;
  bend: number;
  released_deg: number;
  target_deg: number;
  load_deg: number | null;
  turned_deg: number | null;
  mark_mm: number | null;
  at: string;
  counts: boolean;
}

export interface Pending {
  released_deg: number;
  load_deg: number | null;
  add_deg: number | null;
  command_deg: number | null;
}

/** A distance that was taped on the finished bar; the last of its name. */
export interface Taped {
  name: string;
  measured_mm: number;
  at: string;
  /** Key of the answer that brought it. */
  key: string;
}

/** A distance to tape on the finished bar. */
export interface Check {
  /** Its short name, by which it is kept. */
  key: string;
  name: string;
  value_mm: number;
  critical: boolean;
  /** Less or more than this no bend of the bar could make. */
  least_mm: number;
  most_mm: number;
}

export interface State {
  bar: string;
  stick: string;
  number: number;
  /** Number of the last record that tells of bends; taped distances may come after it. */
  bend_record: number;
  phase: Phase;
  step: number;
  taken: Taken[];
  pending: Pending | null;
  taped: Taped[];
  strays: string[];
  can_take_back: boolean;
  keys: string[];
  plan: number[][];
  is_old: boolean;
  findings: Finding[];
}

export interface Step {
  step: number;
  bend: number;
  fed_from: "A" | "B";
  turn_end_for_end: boolean;
  mark_mm: number;
  mark_from_b_mm: number;
  sheet_mark_mm: number;
  target_deg: number;
  command_deg: number | null;
  command_sd_deg: number | null;
  turn_deg: number | null;
  turn_from_bend: number | null;
  leg_hour: number | null;
  slip: { drawn_mm: number; limit_mm: number } | null;
  words: string[];
  pictures: Record<string, string>;
}

export interface Bar {
  state: State;
  stamp: string;
  project: string;
  title: string;
  side: "L" | "R" | "";
  od_mm: number;
  wall_mm: number;
  blank_mm: number;
  trim_a_mm: number;
  trim_b_mm: number;
  revision: number;
  identity: string;
  stick_number: number;
  batch: string;
  calibration: string;
  die: string;
  swings: string;
  die_reach_deg: number;
  bands: { angle_deg: number; turn_deg: number; mark_mm: number };
  line: [number, number] | null;
  steps: Step[];
  checks: Check[];
  bar_svg: string;
  marks_svg: string;
}

export interface Outcome {
  gap_mm: number | null;
  miss_a_mm: number;
  miss_b_mm: number;
  off_mm: number;
  trim_a_mm: number;
  trim_b_mm: number;
}

export interface Cost {
  number: number;
  stick: string;
  carried_on: Outcome;
  solved: Outcome;
  drawn_gap_mm: number | null;
  within_limits: boolean;
  checks: { name: string; value_mm: number | null; limit_mm: number; at_most: boolean; verdict: string }[];
  changes: { bend: number; was_deg: number; now_deg: number; was_mm: number; now_mm: number }[];
}

export interface ListedBar {
  bar_id: string;
  title: string;
  revision: number;
  identity: string;
  date: string;
  made: number | null;
  bends: number | null;
  state: string;
}

export type Sent =
  | { what: "reading"; released_deg: number; command_deg?: number; turned_deg?: number; mark_mm?: number; reason?: string }
  | { what: "correction"; of: number; released_deg: number; command_deg?: number; mark_mm?: number; reason?: string }
  | { what: "taking-back"; of: number }
  | { what: "decision"; go_on: boolean; as_planned?: boolean }
  | { what: "distance"; name: string; measured_mm: number; over: string };

/** One answer of this screen, kept until the workbench has it on its disk. */
export interface Op {
  key: string;
  bar: string;
  code: string;
  stick: string;
  shown: number;
  step: number;
  at_ms: number;
  sent: Sent;
}
