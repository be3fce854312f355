// What is typed: with big keys, a number pad, a keyboard or a pedal.

import type { Figure } from "./figures";
import { typedNumber } from "./figures";
import type { Typing } from "./place";
import type { Known } from "./known";
import { askedCommand, stepOf } from "./local";
import { asShown } from "./shown";

const MM_PER_INCH = 25.4;

export interface Asked {
  /** The value as it is wanted, in what the person reads: degrees, mm or inches. */
  wanted: number;
  unit: string;
  steps: [number, number];
  question: string;
}

export function askedOf(known: Known, typing: Typing): Asked {
  const { bar, state, place, settings } = known;
  const last = state.taken[state.taken.length - 1];
  const step = stepOf(bar, typing === "slip" || typing === "fix" ? (last?.step ?? state.step) : state.step);
  const angle = (wanted: number, question: string): Asked => ({ wanted, unit: "°", steps: [0.5, 0.1], question });
  const length = (mm: number, question: string): Asked =>
    settings.unit === "mm"
      ? { wanted: mm, unit: "mm", steps: [1, 0.5], question }
      : { wanted: mm / MM_PER_INCH, unit: "in", steps: [0.25, 0.0625], question };
  switch (typing) {
    case "mark":
      return length(step.mark_mm, "Where is the mark really, from end A?");
    case "turn":
      return angle(Math.abs(step.turn_deg ?? 0), "How far is it really turned, that way round?");
    case "pull":
      return angle(askedCommand(bar, state) ?? step.target_deg, "What was really read under load?");
    case "slip":
      return length(step.slip?.drawn_mm ?? 0, "How far do the two lines lie apart?");
    case "measure":
      return length(bar.checks[place.at]?.value_mm ?? 0, `${bar.checks[place.at]?.name ?? ""} measures`);
    case "fix":
      return angle(last?.target_deg ?? 0, `What does bend ${last?.bend ?? ""} really read?`);
    default:
      return angle(step.target_deg, `Release. What does bend ${step.bend} read?`);
  }
}

/** A typed key on what is typed so far. */
export function pressed(text: string, key: string): string {
  if (key === "⌫" || key === "Backspace") return text.slice(0, -1);
  if (key === "." || key === ",") return text.includes(".") ? text : `${text || "0"}.`;
  if (key === "-") return text === "" ? "-" : text;
  if (/^\d$/.test(key) && text.length < 8) return text === "0" ? key : text + key;
  return text;
}

/** The value more or less by a step; the first press begins at what is wanted. */
export function nudged(text: string, by: number, asked: Asked): string {
  const now = typedNumber(text);
  const from = Number.isNaN(now) ? rounded(asked.wanted, asked) : now;
  const value = Math.max(0, from + by);
  return asked.unit === "in" ? String(Number(value.toFixed(4))) : asShown(value, 1);
}

export function rounded(value: number, asked: Asked): number {
  const step = asked.unit === "in" ? 0.0625 : 0.1;
  return Number((Number(asShown(value / step, 0)) * step).toFixed(4));
}

/** What was typed, in mm or degrees; NaN where it is no number. */
export function valueOf(text: string, asked: Asked): number {
  const value = typedNumber(text);
  return asked.unit === "in" ? value * MM_PER_INCH : value;
}

export function shown(text: string, asked: Asked): Figure {
  return { whole: text, fraction: "", unit: asked.unit };
}
