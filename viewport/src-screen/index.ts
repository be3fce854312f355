// The screen at the bender: `/bend` lists the bars, `/bend/BAR?code=HASH` is one of them.

import { App } from "./app";
import { Wakeful } from "./awake";
import { doubt, judge } from "./judge";
import { withQueue } from "./local";
import { addressOf, showList } from "./list";
import { readSettings } from "./settings";
import { openStore } from "./store";

async function main(): Promise<void> {
  const root = document.getElementById("screen");
  if (!root) return;
  const store = await openStore();
  const settings = await readSettings(store);
  document.documentElement.classList.toggle("dark", settings.dark);
  const code = new URLSearchParams(location.search).get("code") ?? "";
  const barId = decodeURIComponent(location.pathname.split("/")[2] ?? "");
  await keepThePage();
  // asked not to throw away what is kept when the device runs out of room
  void navigator.storage?.persist?.();
  if (!barId) {
    const address = code && addressOf(code);
    if (address) location.replace(address);
    else await showList(root, store, code);
    return;
  }
  let app: App | null = null;
  const wakeful = new Wakeful(() => app?.show());
  app = new App(root, barId, code, store, settings, wakeful, () => location.assign("/bend"));
  document.addEventListener("keydown", (event) => app?.key(event));
  document.addEventListener("pointerdown", () => void wakeful.keep());
  void wakeful.keep();
  Object.assign(window, { hoopwrightBend: { app, judge, doubt, withQueue } });
  await app.start();
}

/** Where the browser allows it the page itself is kept too; elsewhere it goes on while it is open. */
async function keepThePage(): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register("/bend/_/worker.js", { scope: "/bend" });
  } catch {
    // served without https to another machine: not allowed there
  }
}

void main();
