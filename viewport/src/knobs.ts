// The nodes of the chosen bar as buttons of the page, laid over their balls: whoever has no mouse reaches and moves them.

import { Vector3 } from "three";
import type { Axis, Handles } from "./handles";
import { AXES } from "./handles";
import type { BarView } from "./contract";
import type { Stage } from "./stage";

const HALF_PX = 15;

export interface KnobWatcher {
  /** A node has the keyboard; null is none. */
  reached(bar_id: string, node: number | null): void;
}

export class Knobs {
  private readonly box = document.createElement("div");
  private knobs: HTMLButtonElement[] = [];
  private bar: BarView | null = null;
  private stepMm = { small: 1, large: 10 };

  constructor(
    box: HTMLElement,
    private readonly stage: Stage,
    private readonly handles: Handles,
    private readonly watcher: KnobWatcher,
  ) {
    this.box.className = "hw-knobs";
    // arrow keys are ours here, and not a screen reader's
    this.box.setAttribute("role", "application");
    box.append(this.box);
    stage.afterwards = () => this.place();
    this.show(null);
  }

  /** How far an arrow key moves a node, without and with Shift. */
  steps(small: number, large: number): void {
    this.stepMm = { small, large };
  }

  /** Buttons for a bar that has nodes of its own; the one that has the keyboard keeps it. */
  show(bar: BarView | null): void {
    const shown = bar && !bar.mirror_of ? bar : null;
    const count = shown?.nodes_mm.length ?? 0;
    if (shown?.bar_id !== this.bar?.bar_id || count !== this.knobs.length) {
      this.knobs = Array.from({ length: count }, (_, number) => this.knob(number));
      this.box.replaceChildren(...this.knobs);
    }
    this.bar = shown;
    this.box.hidden = !shown;
    this.box.setAttribute("aria-label", shown ? `Nodes of ${shown.bar_id}` : "Nodes");
    this.knobs.forEach((knob, number) => {
      knob.setAttribute("aria-label", `Node ${number + 1} of ${shown?.bar_id}: arrow keys move it`);
    });
  }

  private knob(number: number): HTMLButtonElement {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "hw-knob";
    made.addEventListener("keydown", (event) => this.key(event, number));
    made.addEventListener("focus", () => this.watcher.reached(this.bar?.bar_id ?? "", number + 1));
    made.addEventListener("blur", () => {
      this.handles.keepKeyed();
      this.watcher.reached(this.bar?.bar_id ?? "", null);
    });
    return made;
  }

  private key(event: KeyboardEvent, number: number): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter") this.handles.keepKeyed();
    else {
      const way = this.way(event.key);
      if (!way) return;
      this.handles.moveByKey(number, way.multiplyScalar(event.shiftKey ? this.stepMm.large : this.stepMm.small));
    }
    event.preventDefault();
    event.stopPropagation();
  }

  /** The car's axis that lies most as the key points on the screen; Page Up and Page Down take the one that is left. */
  private way(key: string): Vector3 | null {
    const across = new Vector3().setFromMatrixColumn(this.stage.camera.matrixWorld, 0);
    const upward = new Vector3().setFromMatrixColumn(this.stage.camera.matrixWorld, 1);
    const away = this.stage.camera.getWorldDirection(new Vector3());
    const first = most(across, ["forward", "left", "up"]);
    const second = most(upward, (["forward", "left", "up"] as Axis[]).filter((axis) => axis !== first));
    const third = most(away, (["forward", "left", "up"] as Axis[]).filter((axis) => axis !== first && axis !== second));
    const ways: Record<string, [Axis, Vector3, number]> = {
      ArrowRight: [first, across, 1],
      ArrowLeft: [first, across, -1],
      ArrowUp: [second, upward, 1],
      ArrowDown: [second, upward, -1],
      PageUp: [third, away, 1],
      PageDown: [third, away, -1],
    };
    const found = ways[key];
    if (!found) return null;
    const [axis, seen, sign] = found;
    return AXES[axis].clone().multiplyScalar(AXES[axis].dot(seen) < 0 ? -sign : sign);
  }

  /** Lay the buttons where the balls are seen, at the edge where they are out of the picture. */
  private place(): void {
    const { clientWidth: wide, clientHeight: high } = this.stage.renderer.domElement;
    this.knobs.forEach((knob, number) => {
      const at = this.handles.placeOf(number);
      if (!at) return;
      const seen = at.project(this.stage.camera);
      const x = Math.min(wide - HALF_PX, Math.max(HALF_PX, ((seen.x + 1) / 2) * wide));
      const y = Math.min(high - HALF_PX, Math.max(HALF_PX, ((1 - seen.y) / 2) * high));
      knob.style.transform = `translate(${x - HALF_PX}px, ${y - HALF_PX}px)`;
    });
  }
}

function most(direction: Vector3, among: Axis[]): Axis {
  return among.reduce((best, axis) => (Math.abs(AXES[axis].dot(direction)) > Math.abs(AXES[best].dot(direction)) ? axis : best));
}
