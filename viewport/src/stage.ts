// The canvas, the camera and the light. Draws only when something changed; while the camera stands still, the shell is
// drawn once and kept with its depth, so that a dragged bar costs one picture of bars and not one of the whole scan.

import {
  AlwaysDepth,
  BufferGeometry,
  Color,
  DepthTexture,
  DirectionalLight,
  Float32BufferAttribute,
  HalfFloatType,
  HemisphereLight,
  Mesh,
  OrthographicCamera,
  PerspectiveCamera,
  Plane,
  Scene,
  ShaderMaterial,
  Vector2,
  Vector3,
  WebGLRenderTarget,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import type { Theme } from "./colours";

const COPY_VERTEX = "varying vec2 at; void main() { at = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }";
const COPY_FRAGMENT = `
  uniform sampler2D colour; uniform sampler2D depth; varying vec2 at;
  void main() {
    gl_FragColor = texture2D(colour, at);
    #include <colorspace_fragment>
    gl_FragDepth = texture2D(depth, at).r;
  }`;

export class Stage {
  readonly renderer: WebGLRenderer;
  readonly camera = new PerspectiveCamera(38, 1, 20, 60_000);
  readonly controls: OrbitControls;
  /** What stands still while a bar is dragged. */
  readonly still = new Scene();
  /** What is drawn over it, with true depth. */
  readonly lively = new Scene();
  private readonly kept: WebGLRenderTarget;
  private readonly copy: Scene;
  private readonly copyCamera = new OrthographicCamera(-1, 1, 1, -1, 0, 1);
  private readonly stop = new AbortController();
  private readonly watcher: ResizeObserver;
  private stillIsOld = true;
  private waiting = false;
  /** How long the last picture took, for tests and for the level of detail. */
  lastMs = 0;
  /** Called after each picture. */
  afterwards: () => void = () => undefined;

  constructor(private readonly box: HTMLElement, theme: Theme) {
    this.renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: true });
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.renderer.localClippingEnabled = true;
    this.renderer.autoClear = false;
    box.append(this.renderer.domElement);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.renderer.domElement);
    this.controls.enableDamping = false;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => this.changed());
    this.kept = new WebGLRenderTarget(1, 1, { type: HalfFloatType, samples: 4, depthTexture: new DepthTexture(1, 1) });
    this.copy = this.makeCopy();
    for (const scene of [this.still, this.lively]) this.light(scene);
    this.paint(theme);
    this.watcher = new ResizeObserver(() => this.fit());
    this.watcher.observe(box);
    this.fit();
  }

  paint(theme: Theme): void {
    this.renderer.setClearColor(theme.background);
    // as the scene's own colour it is brought into the right colour space whatever is drawn to
    this.still.background = new Color(theme.background);
    this.changed();
  }

  /** Something that stands still has changed, or the camera moved. */
  changed(): void {
    this.stillIsOld = true;
    this.touched();
  }

  /** Something lively has changed. */
  touched(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => this.draw());
  }

  /** Cut away one side of everything that stands still, or nothing. */
  clip(planes: Plane[]): void {
    this.renderer.clippingPlanes = [];
    this.still.traverse((one) => {
      if (one instanceof Mesh && !Array.isArray(one.material)) one.material.clippingPlanes = planes;
    });
    this.changed();
  }

  /** Look from a direction at a box, all of it in view. */
  look(from: Vector3, middle: Vector3, radius: number): void {
    const far = this.farFor(radius);
    this.controls.target.copy(middle);
    this.camera.position.copy(middle).addScaledVector(from.clone().normalize(), far * 0.92);
    this.camera.near = Math.max(5, far / 200);
    this.camera.far = far * 4 + radius * 4;
    this.camera.updateProjectionMatrix();
    this.controls.update();
    this.changed();
  }

  /** How far off a ball of that radius fills the picture. */
  farFor(radius: number): number {
    return radius / Math.sin((Math.min(this.camera.fov, this.camera.fov * this.camera.aspect) * Math.PI) / 360);
  }

  /** A pointer's place as the camera takes it. */
  pointer(event: PointerEvent | MouseEvent): Vector2 {
    const frame = this.renderer.domElement.getBoundingClientRect();
    return new Vector2(
      ((event.clientX - frame.left) / frame.width) * 2 - 1,
      1 - ((event.clientY - frame.top) / frame.height) * 2,
    );
  }

  on<Kind extends keyof HTMLElementEventMap>(kind: Kind, act: (event: HTMLElementEventMap[Kind]) => void): void {
    this.renderer.domElement.addEventListener(kind, act, { signal: this.stop.signal });
  }

  close(): void {
    this.stop.abort();
    this.watcher.disconnect();
    this.controls.dispose();
    this.kept.dispose();
    this.renderer.dispose();
    this.renderer.domElement.remove();
  }

  private draw(): void {
    this.waiting = false;
    const began = performance.now();
    if (this.stillIsOld) {
      this.renderer.setRenderTarget(this.kept);
      this.renderer.render(this.still, this.camera);
      this.renderer.setRenderTarget(null);
      this.stillIsOld = false;
    }
    this.renderer.clear();
    this.renderer.render(this.copy, this.copyCamera);
    this.renderer.render(this.lively, this.camera);
    this.lastMs = performance.now() - began;
    this.afterwards();
  }

  private fit(): void {
    const wide = Math.max(1, this.box.clientWidth);
    const high = Math.max(1, this.box.clientHeight);
    this.renderer.setSize(wide, high);
    const size = this.renderer.getDrawingBufferSize(new Vector2());
    this.kept.setSize(size.x, size.y);
    this.camera.aspect = wide / high;
    this.camera.updateProjectionMatrix();
    this.changed();
  }

  private light(scene: Scene): void {
    scene.add(new HemisphereLight(0xffffff, 0x8a8f92, 1.5));
    const sun = new DirectionalLight(0xffffff, 1.6);
    sun.position.set(0.4, 0.7, 1);
    scene.add(sun);
  }

  private makeCopy(): Scene {
    const sheet = new BufferGeometry();
    sheet.setAttribute("position", new Float32BufferAttribute([-1, -1, 0, 3, -1, 0, -1, 3, 0], 3));
    sheet.setAttribute("uv", new Float32BufferAttribute([0, 0, 2, 0, 0, 2], 2));
    const material = new ShaderMaterial({
      uniforms: { colour: { value: this.kept.texture }, depth: { value: this.kept.depthTexture } },
      vertexShader: COPY_VERTEX,
      fragmentShader: COPY_FRAGMENT,
      depthFunc: AlwaysDepth,
    });
    const whole = new Mesh(sheet, material);
    whole.frustumCulled = false;
    const scene = new Scene();
    scene.add(whole);
    return scene;
  }
}
