// Bars as tubes, coloured by their gap to the shell all along.

import {
  BackSide,
  BufferAttribute,
  BufferGeometry,
  Color,
  Group,
  Line,
  LineBasicMaterial,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  Raycaster,
  Vector3,
} from "three";
import { gapColour, type Theme } from "./colours";
import type { BarView } from "./contract";

const ROUND = 14;
const RIM_MM = 6;

/** The skin of a tube along points, as rings that do not twist; colours per ring. */
function tube(points: Vector3[], radius: number, colours: Float32Array): BufferGeometry {
  const rings = points.length;
  const position = new Float32Array(rings * ROUND * 3);
  const normal = new Float32Array(rings * ROUND * 3);
  const colour = new Float32Array(rings * ROUND * 3);
  const index = new Uint32Array((rings - 1) * ROUND * 6);
  const along = new Vector3();
  const side = new Vector3();
  const other = new Vector3();
  for (let k = 0; k < rings; k += 1) {
    const next = points[Math.min(k + 1, rings - 1)]!;
    const before = points[Math.max(k - 1, 0)]!;
    along.subVectors(next, before).normalize();
    if (k === 0) side.set(Math.abs(along.z) < 0.9 ? 0 : 1, 0, Math.abs(along.z) < 0.9 ? 1 : 0);
    side.addScaledVector(along, -side.dot(along)).normalize();
    other.crossVectors(along, side);
    for (let j = 0; j < ROUND; j += 1) {
      const turn = (2 * Math.PI * j) / ROUND;
      const at = (k * ROUND + j) * 3;
      for (let axis = 0; axis < 3; axis += 1) {
        const out = Math.cos(turn) * side.getComponent(axis) + Math.sin(turn) * other.getComponent(axis);
        normal[at + axis] = out;
        position[at + axis] = points[k]!.getComponent(axis) + radius * out;
        colour[at + axis] = colours[k * 3 + axis]!;
      }
    }
  }
  let at = 0;
  for (let k = 0; k + 1 < rings; k += 1) {
    for (let j = 0; j < ROUND; j += 1) {
      const here = k * ROUND + j;
      const beside = k * ROUND + ((j + 1) % ROUND);
      index.set([here, beside, here + ROUND, beside, beside + ROUND, here + ROUND], at);
      at += 6;
    }
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(position, 3));
  geometry.setAttribute("normal", new BufferAttribute(normal, 3));
  geometry.setAttribute("color", new BufferAttribute(colour, 3));
  geometry.setIndex(new BufferAttribute(index, 1));
  return geometry;
}

function pointsOf(bar: BarView): Vector3[] {
  const points: Vector3[] = [];
  for (let k = 0; k < bar.path_mm.length; k += 3) {
    points.push(new Vector3(bar.path_mm[k], bar.path_mm[k + 1], bar.path_mm[k + 2]));
  }
  return points;
}

export class BarsView {
  readonly object = new Group();
  private readonly meshes = new Map<string, Mesh<BufferGeometry, MeshLambertMaterial>>();
  private readonly views = new Map<string, BarView>();
  private readonly nearest: Line<BufferGeometry, LineBasicMaterial>;
  private readonly rim: Mesh<BufferGeometry, MeshBasicMaterial>;
  private chosen: string | null = null;
  private hidden = new Set<string>();
  private gapMm = 10;

  constructor(private theme: Theme) {
    this.nearest = new Line(new BufferGeometry(), new LineBasicMaterial({ color: theme.ink, depthTest: false }));
    this.nearest.renderOrder = 3;
    this.rim = new Mesh(new BufferGeometry(), new MeshBasicMaterial({ color: theme.chosen, side: BackSide }));
    this.rim.visible = false;
    this.object.add(this.nearest, this.rim);
  }

  paint(theme: Theme): void {
    this.theme = theme;
    this.nearest.material.color.set(theme.ink);
    this.rim.material.color.set(theme.chosen);
    this.show([...this.views.values()], this.gapMm);
  }

  /** Put every bar of the cage in the place of what was shown. */
  show(bars: BarView[], gapMm: number): void {
    this.gapMm = gapMm;
    const names = new Set(bars.map((bar) => bar.bar_id));
    for (const name of [...this.meshes.keys()]) if (!names.has(name)) this.drop(name);
    bars.forEach((bar) => this.put(bar));
    this.point();
  }

  /** Put some bars in the place of what was shown of them. */
  put(bar: BarView): void {
    this.drop(bar.bar_id);
    const points = pointsOf(bar);
    if (points.length < 2) return;
    const geometry = tube(points, bar.od_mm / 2, this.colours(bar, points.length));
    const mesh = new Mesh(geometry, new MeshLambertMaterial({ vertexColors: true }));
    mesh.name = bar.bar_id;
    mesh.visible = !this.hidden.has(bar.bar_id);
    this.meshes.set(bar.bar_id, mesh);
    this.views.set(bar.bar_id, bar);
    this.object.add(mesh);
    if (bar.bar_id === this.chosen) this.point();
  }

  choose(name: string | null): void {
    this.chosen = name;
    this.point();
  }

  hide(names: string[]): void {
    this.hidden = new Set(names);
    for (const [one, mesh] of this.meshes) mesh.visible = !this.hidden.has(one);
    this.point();
  }

  view(name: string | null): BarView | null {
    return (name !== null && this.views.get(name)) || null;
  }

  hit(ray: Raycaster): { bar_id: string; point: Vector3 } | null {
    const seen = [...this.meshes.values()].filter((mesh) => mesh.visible);
    const first = ray.intersectObjects(seen, false)[0];
    return first ? { bar_id: first.object.name, point: first.point } : null;
  }

  private drop(name: string): void {
    const mesh = this.meshes.get(name);
    if (!mesh) return;
    this.object.remove(mesh);
    mesh.geometry.dispose();
    mesh.material.dispose();
    this.meshes.delete(name);
    this.views.delete(name);
  }

  private colours(bar: BarView, rings: number): Float32Array {
    const plain = new Color(this.theme.bar);
    const colours = new Float32Array(rings * 3);
    const made = new Color();
    for (let k = 0; k < rings; k += 1) {
      const gap = bar.gap_mm?.[k];
      if (gap === undefined || gap === null || bar.judged?.[k] === false) made.copy(plain);
      else made.setRGB(...gapColour(gap / this.gapMm), "srgb");
      made.toArray(colours, k * 3);
    }
    return colours;
  }

  /** A rim round the chosen bar, which leaves its gap colours as they are, and a line to the metal where it is nearest. */
  private point(): void {
    const bar = this.view(this.chosen);
    this.rim.geometry.dispose();
    this.rim.visible = bar !== null && !this.hidden.has(bar.bar_id);
    if (bar && this.rim.visible) {
      const points = pointsOf(bar);
      this.rim.geometry = tube(points, bar.od_mm / 2 + RIM_MM, new Float32Array(points.length * 3));
    }
    const nearest = this.view(this.chosen)?.nearest ?? null;
    this.nearest.visible = nearest !== null;
    if (nearest) {
      this.nearest.geometry.setFromPoints([new Vector3(...nearest.axis_mm), new Vector3(...nearest.metal_mm)]);
    }
  }
}
