// What the moments know of the bar and may do to it.

import type { Bar, Cost, State } from "./contract";
import type { Moment, Place, Typing } from "./place";
import type { Settings } from "./settings";
import type { View } from "./view";

export type Made = Omit<View, "id">;

export interface Acts {
  next(): void;
  back(): void;
  go(moment: Moment, at?: number): void;
  type(what: Typing): void;
  reading(reason?: string): void;
  noSlip(): void;
  afterSlip(): void;
  decide(goOn: boolean, asPlanned: boolean): void;
  takeBack(): void;
  again(): void;
  leave(): void;
  retry(): void;
  /** The distance that is shown is typed anew. */
  tapeAgain(): void;
}

export interface Known {
  bar: Bar;
  state: State;
  place: Place;
  settings: Settings;
  link: "with" | "away" | "shut";
  waiting: number;
  /** Names of the distances that are still on this screen alone. */
  unsent: string[];
  /** A decision for new numbers is on its way: nothing is bent until they are here. */
  awaitsNumbers: boolean;
  cost: Cost | null;
}
