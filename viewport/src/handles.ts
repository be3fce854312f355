// The nodes of the chosen bar as balls that are dragged. A drag asks the server for the moved bars while it goes on, one
// question at a time, and once more at the end to keep it.

import { Group, Mesh, MeshBasicMaterial, Plane, Raycaster, SphereGeometry, Vector3 } from "three";
import type { Theme } from "./colours";
import type { BarView, Place } from "./contract";
import type { Stage } from "./stage";

const REACH_PX = 16;
export type Axis = "forward" | "left" | "up";
export const AXES: Record<Axis, Vector3> = {
  forward: new Vector3(1, 0, 0),
  left: new Vector3(0, 1, 0),
  up: new Vector3(0, 0, 1),
};

export interface Drag {
  bar_id: string;
  /** Counted from 1 at end A. */
  node: number;
  place_mm: Place;
}

export interface DragWatcher {
  /** Asked again and again while a node is dragged; the next question waits for the answer. An answer that comes when
   * that drag is no longer on is not to be shown. */
  preview(drag: Drag, isOn: () => boolean): Promise<void>;
  /** The node was let go. */
  keep(drag: Drag): void;
  /** The drag was given up. */
  dropped(): void;
}

export class Handles {
  readonly object = new Group();
  private readonly balls: Mesh<SphereGeometry, MeshBasicMaterial>[] = [];
  private bar: BarView | null = null;
  /** The node that is moved; without a plane it is moved by keys. */
  private held: { number: number; plane: Plane | null; start: Vector3; off: Vector3 } | null = null;
  private asking = false;
  private waiting: Drag | null = null;
  private axis: Axis | null = null;

  constructor(
    private readonly stage: Stage,
    private theme: Theme,
    private readonly watcher: DragWatcher,
  ) {
    stage.on("pointerdown", (event) => this.take(event));
    stage.on("pointermove", (event) => this.move(event));
    stage.on("pointerup", () => this.isKeyed || this.release());
    stage.on("pointercancel", () => this.giveUp());
  }

  get dragging(): boolean {
    return this.held !== null;
  }

  get isKeyed(): boolean {
    return this.held !== null && this.held.plane === null;
  }

  /** Where a node stands now, moved or not. */
  placeOf(number: number): Vector3 | null {
    return this.balls[number]?.position.clone() ?? null;
  }

  /** Move a node by a key; what is moved already goes on, another node is kept first. */
  moveByKey(number: number, by: Vector3): void {
    if (this.held && (!this.isKeyed || this.held.number !== number)) this.keepKeyed();
    const ball = this.balls[number];
    if (!this.bar || !ball || (this.held && !this.isKeyed)) return;
    this.held ??= { number, plane: null, start: ball.position.clone(), off: new Vector3() };
    ball.position.add(by);
    this.askFor(ball.position);
  }

  /** Keep what was moved by keys. */
  keepKeyed(): void {
    if (this.isKeyed) this.release();
  }

  /** How far the held node was moved. */
  get moved(): Place {
    const ball = this.held && this.balls[this.held.number];
    return this.held && ball ? (ball.position.clone().sub(this.held.start).toArray() as Place) : [0, 0, 0];
  }

  paint(theme: Theme): void {
    this.theme = theme;
    this.show(this.bar);
  }

  /** Balls at the nodes of a bar that has nodes of its own. */
  show(bar: BarView | null): void {
    if (this.isKeyed && bar?.bar_id !== this.bar?.bar_id) this.end();
    this.bar = bar;
    this.object.clear();
    this.balls.length = 0;
    if (!bar || bar.mirror_of) return;
    for (const place of bar.nodes_mm) {
      const look = new MeshBasicMaterial({ color: this.theme.chosen, depthTest: false, transparent: true, opacity: 0.9 });
      const ball = new Mesh(new SphereGeometry(bar.od_mm * 0.42, 20, 14), look);
      ball.renderOrder = 4;
      ball.position.set(...place);
      this.balls.push(ball);
      this.object.add(ball);
    }
  }

  /** Hold the drag to one of the car's axes, or let it go in the plane of the screen. */
  along(axis: Axis | null): void {
    this.axis = axis;
  }

  get heldTo(): Axis | null {
    return this.axis;
  }

  giveUp(): void {
    if (!this.held) return;
    this.balls[this.held.number]?.position.copy(this.held.start);
    this.end();
    this.watcher.dropped();
  }

  private take(event: PointerEvent): void {
    if (event.button !== 0 || !this.bar) return;
    this.keepKeyed();
    const number = this.under(event);
    if (number === null) return;
    const start = this.balls[number]!.position.clone();
    const toward = this.stage.camera.getWorldDirection(new Vector3());
    const plane = new Plane().setFromNormalAndCoplanarPoint(toward, start);
    const touched = this.onPlane(event, plane) ?? start;
    this.held = { number, plane, start, off: start.clone().sub(touched) };
    this.stage.controls.enabled = false;
    this.stage.renderer.domElement.setPointerCapture(event.pointerId);
  }

  private move(event: PointerEvent): void {
    if (!this.held?.plane || !this.bar) {
      this.stage.renderer.domElement.style.cursor = this.bar && this.under(event) !== null ? "grab" : "";
      return;
    }
    const at = this.onPlane(event, this.held.plane);
    if (!at) return;
    at.add(this.held.off);
    if (this.axis) {
      const way = AXES[this.axis];
      const along = at.clone().sub(this.held.start).dot(way);
      at.copy(this.held.start).addScaledVector(way, along);
    }
    this.balls[this.held.number]!.position.copy(at);
    this.askFor(at);
  }

  private askFor(at: Vector3): void {
    if (!this.held || !this.bar) return;
    this.stage.touched();
    this.ask({ bar_id: this.bar.bar_id, node: this.held.number + 1, place_mm: [at.x, at.y, at.z] });
  }

  private release(): void {
    if (!this.held || !this.bar) return;
    const at = this.balls[this.held.number]!.position;
    const still = at.distanceTo(this.held.start) < 0.05;
    const drag: Drag = { bar_id: this.bar.bar_id, node: this.held.number + 1, place_mm: [at.x, at.y, at.z] };
    this.end();
    if (still) this.watcher.dropped();
    else this.watcher.keep(drag);
  }

  private end(): void {
    this.held = null;
    this.waiting = null;
    this.stage.controls.enabled = true;
    this.stage.touched();
  }

  private ask(drag: Drag): void {
    this.waiting = drag;
    if (this.asking) return;
    this.asking = true;
    void this.answerAll();
  }

  private async answerAll(): Promise<void> {
    try {
      while (this.waiting) {
        const next = this.waiting;
        const held = this.held;
        this.waiting = null;
        await this.watcher.preview(next, () => this.held === held);
      }
    } finally {
      this.asking = false;
    }
  }

  /** The ball nearest to the pointer on the screen, within reach of a finger. */
  private under(event: PointerEvent): number | null {
    const frame = this.stage.renderer.domElement.getBoundingClientRect();
    let best: number | null = null;
    let nearest = event.pointerType === "touch" ? REACH_PX * 2 : REACH_PX;
    this.balls.forEach((ball, number) => {
      const seen = ball.position.clone().project(this.stage.camera);
      const x = ((seen.x + 1) / 2) * frame.width + frame.left;
      const y = ((1 - seen.y) / 2) * frame.height + frame.top;
      const far = Math.hypot(x - event.clientX, y - event.clientY);
      if (seen.z < 1 && far < nearest) [best, nearest] = [number, far];
    });
    return best;
  }

  private onPlane(event: PointerEvent, plane: Plane): Vector3 | null {
    const ray = new Raycaster();
    ray.setFromCamera(this.stage.pointer(event), this.stage.camera);
    return ray.ray.intersectPlane(plane, new Vector3());
  }
}
