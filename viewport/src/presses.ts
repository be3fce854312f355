// A press that began on a button counts for it, though the page moved or was drawn anew under the pointer before it was
// let go: what is read and what was understood comes onto the page at any time, and moves what stands below it.

const PRESSED = 'button, a[href], [role="button"], [role="tab"], [role="option"], [role="menuitem"], [role="checkbox"]';
const STILL_PX = 5;

interface Press {
  on: HTMLElement;
  x: number;
  y: number;
  isTaken: boolean;
}

export function holdPresses(signal: AbortSignal): void {
  const how = { capture: true, signal };
  let press: Press | null = null;

  window.addEventListener(
    "pointerdown",
    (event) => {
      const on = event.button === 0 && event.isPrimary ? pressedAt(event.target) : null;
      press = on && { on, x: event.clientX, y: event.clientY, isTaken: false };
    },
    how,
  );
  window.addEventListener("pointercancel", () => (press = null), how);
  window.addEventListener(
    "click",
    (event) => {
      if (press && pressedAt(event.target) !== null) press.isTaken = true;
    },
    how,
  );
  window.addEventListener(
    "pointerup",
    (event) => {
      const ended = press;
      if (!ended || Math.hypot(event.clientX - ended.x, event.clientY - ended.y) > STILL_PX) return;
      // the browser tells a click of its own in this same turn
      setTimeout(() => {
        if (press === ended) press = null;
        if (!ended.isTaken) (ended.on.isConnected ? ended.on : sameAt(ended))?.click();
      });
    },
    how,
  );
}

function pressedAt(target: EventTarget | null): HTMLElement | null {
  return target instanceof Element ? target.closest<HTMLElement>(PRESSED) : null;
}

/** What stands in the place of one that is gone, if it says the same. */
function sameAt(press: Press): HTMLElement | null {
  const now = pressedAt(document.elementFromPoint(press.x, press.y));
  return now && wordsOf(now) === wordsOf(press.on) ? now : null;
}

function wordsOf(one: HTMLElement): string {
  return one.getAttribute("aria-label") ?? one.textContent ?? "";
}
