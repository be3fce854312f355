// What the server sends and takes. Millimetres, degrees, vehicle axes: forward, left, up.

export type Place = [number, number, number];

/** A bar as it is drawn. */
export interface BarView {
  bar_id: string;
  od_mm: number;
  /** Points along the axis, flat: forward, left, up of each. */
  path_mm: number[];
  /** Gap at each point; null where no metal is near. */
  gap_mm: (number | null)[] | null;
  /** Whether each point is judged; its ends are not, over their landings. */
  judged: boolean[] | null;
  nodes_mm: Place[];
  /** The bar that it mirrors: its nodes are moved there. */
  mirror_of: string | null;
  /** Where the smallest judged gap is, on the axis and on the metal. */
  nearest: { gap_mm: number; axis_mm: Place; metal_mm: Place } | null;
}

export interface CageView {
  step: number;
  gap_mm: number;
  bars: BarView[];
}

export interface Moved {
  bars: BarView[];
}

export type Send = (name: string, detail: unknown) => void;
