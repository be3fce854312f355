// Colours of the view, light and dark. A gap is told by colour and by number, never by colour alone.

export interface Theme {
  background: number;
  shell: number;
  bar: number;
  chosen: number;
  handle: number;
  ink: number;
}

export const LIGHT: Theme = {
  background: 0xf2f1ec,
  shell: 0xc3c6c4,
  bar: 0x2f4858,
  chosen: 0xd1495b,
  handle: 0xffffff,
  ink: 0x1d2429,
};

export const DARK: Theme = {
  background: 0x15191c,
  shell: 0x59626a,
  bar: 0xa9c5d6,
  chosen: 0xff7a88,
  handle: 0x15191c,
  ink: 0xeef1f2,
};

type Rgb = readonly [number, number, number];

// from touching to far, in the order of the legend; chosen to differ in lightness too, for eyes that mix red and green
const STOPS: readonly (readonly [number, Rgb])[] = [
  [0.0, [0.55, 0.05, 0.18]],
  [0.999, [0.86, 0.35, 0.22]],
  [1.0, [0.1, 0.42, 0.55]],
  [2.5, [0.36, 0.66, 0.62]],
  [6.0, [0.78, 0.82, 0.68]],
];

/** Colour of a gap, as a share of the gap that is asked: below 1 too near, above 1 held. */
export function gapColour(share: number): Rgb {
  const first = STOPS[0]!;
  if (!(share > first[0])) return first[1];
  for (let k = 1; k < STOPS.length; k += 1) {
    const [low, from] = STOPS[k - 1]!;
    const [high, to] = STOPS[k]!;
    if (share <= high) {
      const part = (share - low) / (high - low);
      return [
        from[0] + part * (to[0] - from[0]),
        from[1] + part * (to[1] - from[1]),
        from[2] + part * (to[2] - from[2]),
      ];
    }
  }
  return STOPS[STOPS.length - 1]![1];
}
