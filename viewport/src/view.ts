// The 3D view of the workbench: what Python tells it to show, and what the person does in it.

import { Box3, Plane, Raycaster, Vector3 } from "three";
import { BarsView } from "./bars";
import { clearWay } from "./clear";
import { DARK, LIGHT, type Theme } from "./colours";
import type { BarView, CageView, Moved, Place, Send } from "./contract";
import { Handles, type Axis, type Drag } from "./handles";
import { Knobs } from "./knobs";
import { Marks, type Mark } from "./marks";
import { holdPresses } from "./presses";
import { ShellView } from "./shell";
import { SIDES, type Side } from "./sides";
import { Stage } from "./stage";

export interface ViewOptions {
  dark: boolean;
  /** Where the server answers, with a slash at the end. */
  base: string;
  send: Send;
}

const CLICK_PX = 5;
const HOLD_KEYS: Record<string, Axis> = { f: "forward", l: "left", u: "up" };

export class View {
  private readonly stage: Stage;
  private readonly bars: BarsView;
  private readonly handles: Handles;
  private readonly knobs: Knobs;
  private readonly marks: Marks;
  private shell: ShellView | null = null;
  private theme: Theme;
  private chosen: string | null = null;
  private step = 0;
  private cage: CageView | null = null;
  private pressed: { x: number; y: number } | null = null;
  private away: Plane | null = null;
  private shellShown = true;
  private looked = false;
  private wantedShell = "";
  private readonly stop = new AbortController();
  /** How long the last answers took from the move of the pointer to the picture, newest last. */
  readonly dragMs: number[] = [];

  constructor(
    box: HTMLElement,
    private readonly options: ViewOptions,
  ) {
    this.theme = options.dark ? DARK : LIGHT;
    this.stage = new Stage(box, this.theme);
    this.bars = new BarsView(this.theme);
    this.marks = new Marks(this.theme);
    this.handles = new Handles(this.stage, this.theme, {
      preview: (drag, isOn) => this.preview(drag, isOn),
      keep: (drag) => this.options.send("moved", { ...drag, step: this.step }),
      dropped: () => this.redraw(),
    });
    this.knobs = new Knobs(box, this.stage, this.handles, {
      reached: (bar_id, node) => this.options.send("reached", { bar_id, node }),
    });
    this.stage.lively.add(this.bars.object, this.handles.object, this.marks.object);
    this.stage.on("pointerdown", (event) => (this.pressed = { x: event.clientX, y: event.clientY }));
    this.stage.on("click", (event) => this.click(event));
    window.addEventListener("keydown", (event) => this.key(event), { signal: this.stop.signal, capture: true });
    holdPresses(this.stop.signal);
  }

  /** Fetch the thinned scan: a light one to see at once, and the finer one once that is on the screen. */
  async loadShell(key: string): Promise<void> {
    this.wantedShell = key;
    for (const detail of ["light", "fine"]) {
      const answer = await fetch(`${this.options.base}shell/${encodeURIComponent(key)}/${detail}`);
      if (!answer.ok) return;
      const content = await answer.arrayBuffer();
      while (this.handles.dragging) await new Promise((done) => setTimeout(done, 200));
      if (this.wantedShell !== key) return;
      this.putShell(new ShellView(content, this.theme), this.shell === null);
      this.options.send("shell", { detail });
      await this.shown();
    }
  }

  dropShell(): void {
    this.wantedShell = "";
    this.takeShell();
  }

  private takeShell(): void {
    if (!this.shell) return;
    this.stage.still.remove(this.shell.object);
    this.shell.close();
    this.shell = null;
    this.stage.changed();
  }

  showCage(cage: CageView): void {
    this.cage = cage;
    this.step = cage.step;
    if (this.handles.dragging) return;
    this.redraw();
  }

  choose(name: string | null): void {
    this.chosen = name;
    this.bars.choose(name);
    this.handles.show(this.bars.view(name));
    this.knobs.show(this.bars.view(name));
    this.stage.touched();
  }

  hide(names: string[]): void {
    this.bars.hide(names);
    this.stage.touched();
  }

  showShell(shown: boolean): void {
    this.shellShown = shown;
    if (this.shell) this.shell.object.visible = shown;
    this.stage.changed();
  }

  look(side: Side): void {
    if (!this.shell && !this.cage?.bars.length) return;
    const box = this.shell ? this.shell.box : this.cageBox();
    const middle = box.getCenter(new Vector3());
    this.stage.look(SIDES[side], middle, box.getSize(new Vector3()).length() / 2);
  }

  /** Look at a place from near: from where the camera is, or from the nearest side on which no metal hides it. */
  lookAt(place: Place, across_mm: number): void {
    const now = this.stage.camera.position.clone().sub(this.stage.controls.target);
    const at = new Vector3(...place);
    const way = clearWay(at, now, this.stage.farFor(across_mm / 2), (ray) => this.firstMet(ray));
    this.stage.look(way.from, at, (way.share * across_mm) / 2);
  }

  /** Where a ray first meets metal or a bar that is shown. */
  private firstMet(ray: Raycaster): Vector3 | null {
    const metal = this.shell && this.shell.object.visible ? this.shell.hit(ray) : null;
    const bar = this.bars.hit(ray)?.point ?? null;
    if (!metal || !bar) return metal ?? bar;
    return metal.distanceTo(ray.ray.origin) < bar.distanceTo(ray.ray.origin) ? metal : bar;
  }

  /** Cut the scan away beyond a plane; the normal points to what goes. Nothing shows all of it. */
  cut(normal: Place | null, place: Place = [0, 0, 0]): void {
    this.away = normal
      ? new Plane().setFromNormalAndCoplanarPoint(new Vector3(...normal).normalize().negate(), new Vector3(...place))
      : null;
    this.stage.clip(this.away ? [this.away] : []);
  }

  mark(name: string, marks: Mark[]): void {
    this.marks.put(name, marks);
    this.stage.touched();
  }

  /** Show bars as they would be, in the place of what they are; nothing shows the cage as it is. */
  showTried(bars: BarView[] | null): void {
    if (!bars) return this.redraw();
    bars.forEach((bar) => this.bars.put(bar));
    this.stage.touched();
  }

  along(axis: Axis | null): void {
    this.handles.along(axis);
  }

  /** How far an arrow key moves a node, without and with Shift. */
  steps(small_mm: number, large_mm: number): void {
    this.knobs.steps(small_mm, large_mm);
  }

  giveUp(): void {
    this.handles.giveUp();
  }

  paint(dark: boolean): void {
    this.theme = dark ? DARK : LIGHT;
    this.shell?.paint(this.theme);
    this.bars.paint(this.theme);
    this.handles.paint(this.theme);
    this.marks.paint(this.theme);
    this.stage.paint(this.theme);
  }

  /** For tests: where a place of the car is on the page, and how long the last picture took. */
  onPage(place: Place): { x: number; y: number } {
    const frame = this.stage.renderer.domElement.getBoundingClientRect();
    const seen = new Vector3(...place).project(this.stage.camera);
    return { x: frame.left + ((seen.x + 1) / 2) * frame.width, y: frame.top + ((1 - seen.y) / 2) * frame.height };
  }

  get pictureMs(): number {
    return this.stage.lastMs;
  }

  close(): void {
    this.stop.abort();
    this.dropShell();
    this.stage.close();
  }

  private putShell(next: ShellView, first: boolean): void {
    const shown = this.shell?.object.visible ?? this.shellShown;
    this.takeShell();
    this.shell = next;
    next.object.visible = shown;
    this.stage.still.add(next.object);
    if (this.away) this.stage.clip([this.away]);
    if (first) this.look("corner");
    this.stage.changed();
  }

  private redraw(): void {
    if (!this.cage) return;
    this.bars.show(this.cage.bars, this.cage.gap_mm);
    this.choose(this.bars.view(this.chosen) ? this.chosen : null);
    if (!this.shell && !this.looked) this.look("corner");
    this.looked = this.cage.bars.length > 0;
    this.stage.touched();
  }

  /** While a node is dragged: F, L and U hold it to one of the car's axes, the same again lets go, Esc gives up. */
  private key(event: KeyboardEvent): void {
    if (!this.handles.dragging || event.ctrlKey || event.metaKey || event.altKey) return;
    const axis = HOLD_KEYS[event.key.toLowerCase()];
    if (event.key === "Escape") this.handles.giveUp();
    else if (axis && !this.handles.isKeyed) {
      this.handles.along(this.handles.heldTo === axis ? null : axis);
      this.options.send("held", { axis: this.handles.heldTo });
    } else return;
    event.preventDefault();
    event.stopPropagation();
  }

  private shown(): Promise<void> {
    return new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
  }

  private async preview(drag: Drag, isOn: () => boolean): Promise<void> {
    const began = performance.now();
    const answer = await fetch(`${this.options.base}moved`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ...drag, step: this.step }),
    });
    if (!answer.ok) return;
    const moved = (await answer.json()) as Moved;
    if (!isOn()) return;
    moved.bars.forEach((bar: BarView) => this.bars.put(bar));
    this.stage.touched();
    await new Promise((done) => requestAnimationFrame(done));
    this.dragMs.push(performance.now() - began);
    if (!isOn()) return;
    const own = moved.bars.find((bar) => bar.bar_id === drag.bar_id);
    this.options.send("dragging", {
      ...drag,
      held: this.handles.isKeyed ? null : this.handles.heldTo,
      keyed_mm: this.handles.isKeyed ? this.handles.moved : null,
      nearest: own?.nearest ?? null,
    });
  }

  private click(event: MouseEvent): void {
    const pressed = this.pressed;
    if (pressed && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > CLICK_PX) return;
    const ray = new Raycaster();
    ray.setFromCamera(this.stage.pointer(event), this.stage.camera);
    const bar = this.bars.hit(ray);
    const origin = ray.ray.origin.toArray();
    const direction = ray.ray.direction.toArray();
    const metal = this.hitShell(ray);
    if (bar && (!metal || bar.point.distanceTo(ray.ray.origin) <= metal.distanceTo(ray.ray.origin) + 1)) {
      this.options.send("bar", { bar_id: bar.bar_id, point_mm: bar.point.toArray(), origin, direction });
    } else if (metal) {
      this.options.send("metal", { point_mm: metal.toArray(), origin, direction });
    } else {
      this.options.send("nothing", {});
    }
  }

  /** The first metal that is seen: what is cut away is not. */
  private hitShell(ray: Raycaster): Vector3 | null {
    if (!this.shell || !this.shell.object.visible) return null;
    if (!this.away) return this.shell.hit(ray);
    const eye = ray.ray.origin.clone();
    const leaves = ray.ray.intersectPlane(this.away, new Vector3());
    if (this.away.distanceToPoint(eye) < 0) {
      if (!leaves) return null;
      ray.ray.origin.copy(leaves);
    } else if (leaves) ray.far = leaves.distanceTo(eye);
    const metal = this.shell.hit(ray);
    ray.ray.origin.copy(eye);
    ray.far = Infinity;
    return metal;
  }

  private cageBox(): Box3 {
    const places = (this.cage?.bars ?? []).flatMap((bar) => bar.nodes_mm);
    return new Box3().setFromPoints(places.map((place) => new Vector3(...place)));
  }
}
