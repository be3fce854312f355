// Keeping the screen awake: as the browser offers it, else by a small picture that plays without end.

export type Awake = "kept" | "tried" | "no";

interface WakeLock {
  request(kind: "screen"): Promise<{ addEventListener(name: "release", act: () => void): void }>;
}

export class Wakeful {
  state: Awake = "no";
  private video: HTMLVideoElement | null = null;

  constructor(private readonly changed: () => void) {
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void this.keep();
    });
  }

  /** Called on the first touch too: some browsers allow playing only then. */
  async keep(): Promise<void> {
    if (this.state === "kept") return;
    const lock = (navigator as Navigator & { wakeLock?: WakeLock }).wakeLock;
    if (lock) {
      try {
        const held = await lock.request("screen");
        this.set("kept");
        held.addEventListener("release", () => this.set("no"));
        return;
      } catch {
        // not allowed now, such as on low battery: the playing picture is tried
      }
    }
    await this.play();
  }

  private async play(): Promise<void> {
    const video = this.video ?? playing();
    this.video = video;
    try {
      await video.play();
      this.set("tried");
    } catch {
      this.set("no");
    }
  }

  private set(state: Awake): void {
    if (state === this.state) return;
    this.state = state;
    this.changed();
  }
}

/** A silent picture of two by two that is drawn anew each second. */
function playing(): HTMLVideoElement {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 2;
  const paint = canvas.getContext("2d");
  const draw = (): void => {
    if (!paint) return;
    paint.fillStyle = paint.fillStyle === "#000000" ? "#010101" : "#000000";
    paint.fillRect(0, 0, 2, 2);
  };
  draw();
  window.setInterval(draw, 1000);
  const video = document.createElement("video");
  video.muted = true;
  video.loop = true;
  video.playsInline = true;
  video.className = "awake";
  video.setAttribute("aria-hidden", "true");
  video.srcObject = canvas.captureStream(1);
  document.body.append(video);
  return video;
}
