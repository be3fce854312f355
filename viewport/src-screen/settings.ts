// What this device was told about itself.

import type { Unit } from "./figures";
import type { Store } from "./store";

export interface Settings {
  dark: boolean;
  sound: boolean;
  unit: Unit;
  /** What the angle gauge reads to. */
  gauge: 0.1 | 0.5;
}

export async function readSettings(store: Store): Promise<Settings> {
  const usual: Settings = {
    dark: window.matchMedia("(prefers-color-scheme: dark)").matches,
    sound: false,
    unit: "mm",
    gauge: 0.1,
  };
  return { ...usual, ...((await store.get<Partial<Settings>>("settings")) ?? {}) };
}
