// The usual sides to look from, named as a person in the shop would.

import { Vector3 } from "three";

export const SIDES = {
  left: new Vector3(0, 1, 0.06),
  right: new Vector3(0, -1, 0.06),
  front: new Vector3(1, 0, 0.06),
  rear: new Vector3(-1, 0, 0.06),
  top: new Vector3(-0.001, 0, 1),
  corner: new Vector3(0.75, 0.62, 0.42),
} as const;

export type Side = keyof typeof SIDES;
