// Points, lines and words over the picture: sections, measured distances, places of findings.

import {
  BufferGeometry,
  CanvasTexture,
  Group,
  Line,
  LineBasicMaterial,
  Mesh,
  MeshBasicMaterial,
  SphereGeometry,
  Sprite,
  SpriteMaterial,
  Vector3,
} from "three";
import type { Theme } from "./colours";
import type { Place } from "./contract";

export interface Mark {
  /** Points of a line; one point alone is a dot. */
  points_mm: Place[];
  text?: string;
  /** Drawn through whatever lies before it. */
  through?: boolean;
}

export class Marks {
  readonly object = new Group();
  private readonly groups = new Map<string, Group>();
  private readonly kept = new Map<string, Mark[]>();

  constructor(private theme: Theme) {}

  paint(theme: Theme): void {
    this.theme = theme;
    for (const [name, marks] of [...this.kept]) this.put(name, marks);
  }

  /** Show marks under a name in the place of those that were there. */
  put(name: string, marks: Mark[]): void {
    this.clear(name);
    const group = new Group();
    for (const mark of marks) this.add(group, mark);
    this.groups.set(name, group);
    this.kept.set(name, marks);
    this.object.add(group);
  }

  clear(name: string): void {
    const old = this.groups.get(name);
    if (!old) return;
    this.object.remove(old);
    old.traverse((one) => {
      if (one instanceof Mesh || one instanceof Line) {
        one.geometry.dispose();
        one.material.dispose();
      } else if (one instanceof Sprite) {
        one.material.map?.dispose();
        one.material.dispose();
      }
    });
    this.groups.delete(name);
    this.kept.delete(name);
  }

  private add(group: Group, mark: Mark): void {
    const points = mark.points_mm.map((place) => new Vector3(...place));
    const first = points[0];
    if (!first) return;
    const depthTest = !mark.through;
    if (points.length > 1) {
      const line = new Line(
        new BufferGeometry().setFromPoints(points),
        new LineBasicMaterial({ color: this.theme.ink, depthTest }),
      );
      line.renderOrder = 5;
      group.add(line);
    } else {
      const dot = new Mesh(new SphereGeometry(9, 16, 12), new MeshBasicMaterial({ color: this.theme.chosen, depthTest }));
      dot.renderOrder = 5;
      dot.position.copy(first);
      group.add(dot);
    }
    if (mark.text) {
      const middle = points[Math.floor(points.length / 2)]!;
      const at = points.length === 2 ? first.clone().add(middle).multiplyScalar(0.5) : middle;
      group.add(this.words(mark.text, at));
    }
  }

  private words(text: string, at: Vector3): Sprite {
    const canvas = document.createElement("canvas");
    const pen = canvas.getContext("2d")!;
    const font = "600 30px system-ui, sans-serif";
    pen.font = font;
    canvas.width = Math.ceil(pen.measureText(text).width) + 24;
    canvas.height = 46;
    pen.font = font;
    pen.fillStyle = `#${this.theme.background.toString(16).padStart(6, "0")}`;
    pen.globalAlpha = 0.88;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.globalAlpha = 1;
    pen.fillStyle = `#${this.theme.ink.toString(16).padStart(6, "0")}`;
    pen.fillText(text, 12, 33);
    const sprite = new Sprite(
      new SpriteMaterial({ map: new CanvasTexture(canvas), depthTest: false, sizeAttenuation: false }),
    );
    sprite.position.copy(at);
    sprite.center.set(0.5, -0.35);
    sprite.scale.set(canvas.width * 0.00045, canvas.height * 0.00045, 1);
    sprite.renderOrder = 6;
    return sprite;
  }
}
