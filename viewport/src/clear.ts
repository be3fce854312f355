// From where a place in the car can be seen past the metal.

import { Raycaster, Vector3 } from "three";

const STEPS_UP = [-0.6, -0.25, 0.1, 0.45, 0.8];
const AROUND = 16;
/** The place may lie on the metal, or a bar's radius from it. */
const START_MM = 45;
const NO_SMALLER = 0.35;

export interface ClearWay {
  from: Vector3;
  /** How much nearer the camera must come than was wanted; 1 is not at all. */
  share: number;
}

/** The direction nearest to the one that is looked from now from which no metal hides the place. */
export function clearWay(
  place: Vector3,
  now: Vector3,
  farMm: number,
  hit: (ray: Raycaster) => Vector3 | null,
): ClearWay {
  const wanted = now.clone().normalize();
  const free = (way: Vector3): number => {
    const met = hit(new Raycaster(place.clone().addScaledVector(way, START_MM), way));
    return met ? met.distanceTo(place) : Infinity;
  };
  let best: ClearWay & { close: number } = { from: wanted, share: 1, close: -1 };
  let widest = NO_SMALLER;
  const ways = [wanted];
  for (const up of STEPS_UP) {
    for (let k = 0; k < AROUND; k += 1) {
      const turn = (2 * Math.PI * k) / AROUND;
      ways.push(new Vector3(Math.cos(turn), Math.sin(turn), up).normalize());
    }
  }
  for (const way of ways) {
    const share = Math.min(1, (0.9 * free(way)) / farMm);
    const close = way.dot(wanted);
    if (share > widest || (share === widest && close > best.close)) {
      best = { from: way, share, close };
      widest = share;
    }
  }
  return best;
}
