// Numbers as they are read at the bender.

import { asShown } from "./shown";

export type Unit = "mm" | "in";

const MM_PER_INCH = 25.4;
const PARTS = 16;

/** The whole part, the fraction apart (it is drawn smaller), and the unit. */
export interface Figure {
  whole: string;
  fraction: string;
  unit: string;
}

export function lengthFigure(mm: number, unit: Unit): Figure {
  if (unit === "mm") return { whole: asShown(mm, 1), fraction: "", unit: "mm" };
  const sixteenths = Number(asShown((Math.abs(mm) / MM_PER_INCH) * PARTS, 0));
  const whole = Math.floor(sixteenths / PARTS);
  let over = sixteenths % PARTS;
  let under = PARTS;
  while (over > 0 && over % 2 === 0) {
    over /= 2;
    under /= 2;
  }
  const sign = mm < 0 && sixteenths > 0 ? "-" : "";
  return { whole: over > 0 && whole === 0 ? sign : `${sign}${whole}`, fraction: over ? `${over}/${under}` : "", unit: "in" };
}

export function angleFigure(degrees: number, gauge: number): Figure {
  return { whole: asShown(Number(asShown(degrees / gauge, 0)) * gauge, 1), fraction: "", unit: "°" };
}

export function lengthText(mm: number, unit: Unit): string {
  const figure = lengthFigure(mm, unit);
  return `${[figure.whole, figure.fraction].filter(Boolean).join(" ")} ${figure.unit}`;
}

export function angleText(degrees: number, decimals = 1): string {
  return `${asShown(degrees, decimals)}°`;
}

export function signedText(value: number, unit: string, decimals = 1): string {
  const rounded = asShown(value, decimals);
  return `${Number(rounded) > 0 ? "+" : ""}${rounded}${unit}`;
}

/** A number as it was typed: a comma or a point, a fraction of an inch after a space; NaN where it is none. */
export function typedNumber(text: string): number {
  const match = /^(-?\d*(?:[.,]\d*)?)(?:\s+(\d+)\/(\d+))?$/.exec(text.trim());
  if (!match || !match[1] || match[1] === "-" || match[1] === "." || match[1] === ",") return Number.NaN;
  const whole = Number(match[1].replace(",", "."));
  if (!match[2]) return whole;
  const part = Number(match[2]) / Number(match[3]);
  return whole < 0 ? whole - part : whole + part;
}

export function clockText(hour: number): string {
  const quarters = Math.round((hour % 12) * 4) % 48;
  return `${Math.floor(quarters / 4) || 12}:${String((quarters % 4) * 15).padStart(2, "0")}`;
}
