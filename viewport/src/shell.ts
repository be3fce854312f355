// The scan, thinned for the screen. Nothing is measured on it: a place that is picked here is asked of the full scan.

import {
  Box3,
  BufferAttribute,
  BufferGeometry,
  DoubleSide,
  Mesh,
  MeshLambertMaterial,
  Points,
  PointsMaterial,
  Raycaster,
  Vector3,
} from "three";
import { MeshBVH, acceleratedRaycast } from "three-mesh-bvh";
import type { Theme } from "./colours";

const MAGIC = 0x4c485348;

export class ShellView {
  readonly object: Mesh | Points;
  readonly box = new Box3();
  private readonly material: MeshLambertMaterial | PointsMaterial;

  constructor(content: ArrayBuffer, theme: Theme) {
    const [magic, points, triangles] = new Uint32Array(content, 0, 3);
    if (magic !== MAGIC || points === undefined || triangles === undefined) throw new Error("this is no shell");
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(new Float32Array(content, 12, points * 3), 3));
    if (triangles > 0) {
      geometry.setIndex(new BufferAttribute(new Uint32Array(content, 12 + points * 12, triangles * 3), 1));
      geometry.computeVertexNormals();
      this.material = new MeshLambertMaterial({ color: theme.shell, side: DoubleSide });
      this.object = new Mesh(geometry, this.material);
      this.object.raycast = acceleratedRaycast;
    } else {
      this.material = new PointsMaterial({ color: theme.shell, size: 2, sizeAttenuation: false });
      this.object = new Points(geometry, this.material);
    }
    geometry.computeBoundingBox();
    this.box.copy(geometry.boundingBox!);
  }

  paint(theme: Theme): void {
    this.material.color.set(theme.shell);
  }

  /** Where a ray meets the scan first, or nothing. */
  hit(ray: Raycaster): Vector3 | null {
    const geometry = this.object.geometry;
    // the tree is for picks alone: made with the first of them, the scan is on the screen sooner
    if (geometry.index && !geometry.boundsTree) geometry.boundsTree = new MeshBVH(geometry);
    const first = ray.intersectObject(this.object, false)[0];
    return first ? first.point : null;
  }

  close(): void {
    this.object.geometry.dispose();
    this.material.dispose();
  }
}
