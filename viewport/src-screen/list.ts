// The bars that have a sheet, and the field for a sheet's code.

import type { ListedBar } from "./contract";
import { ask, type Answer } from "./network";
import type { Store } from "./store";
import { element } from "./view";

interface Listed {
  project: string;
  bars: ListedBar[];
}

/** A sheet's code, `hoopwright:PROJECT/BAR/HASH` or the address that it opens, the identity that stands on a sheet in words, or a bar's name. */
export function addressOf(text: string, bars: ListedBar[] = []): string | null {
  const typed = text.trim().replace(/^identity\s+/i, "");
  const issued = bars.find((one) => one.identity.toLowerCase() === typed.toLowerCase());
  if (issued) return `/bend/${issued.bar_id}?code=${issued.identity}`;
  const code = /^hoopwright:(.+)\/([A-Za-z0-9-]{1,12})\/([A-Za-z0-9-]{1,64})$/.exec(text.trim());
  if (code) return `/bend/${code[2]}?code=${code[3]}`;
  const opens = /^https?:\/\/[^\s?#]+\/bend\/([A-Za-z0-9-]{1,12})\?code=([A-Za-z0-9-]{1,64})$/.exec(text.trim());
  if (opens) return `/bend/${opens[1]}?code=${opens[2]}`;
  return /^[A-Za-z0-9-]{1,12}$/.test(text.trim()) ? `/bend/${text.trim()}` : null;
}

export async function showList(root: HTMLElement, store: Store, typed: string): Promise<void> {
  const answer = await ask<Listed>("bars");
  const listed = answer.kind === "ok" ? answer.body : await store.get<Listed>("bars");
  if (answer.kind === "ok") await store.put("bars", answer.body);
  drawList(root, listed, typed, answer.kind);
}

function drawList(root: HTMLElement, listed: Listed | undefined, typed: string, came: Answer<Listed>["kind"]): void {
  root.replaceChildren();
  const main = element("main", "content menu", "", root);
  element("h1", "question", listed ? `At the bender: ${listed.project}` : "At the bender", main);
  if (came === "away") element("p", "note", "▲ The workbench cannot be reached; these are the bars that this device knows.", main);
  if (came === "shut") element("p", "note", "✕ This device is not let in: pair it at the workbench.", main);
  for (const bar of listed?.bars ?? []) main.append(link(bar));
  if (listed && listed.bars.length === 0) element("p", "note", "No sheet is issued yet. Issue the sheets at the workbench; the bars then stand here.", main);
  main.append(codeField(typed, listed?.bars ?? []));
  if (listed && listed.bars.length > 0) main.append(codeButton(root, listed, () => drawList(root, listed, "", came)));
}

function link(bar: ListedBar): HTMLElement {
  const made = element("button", "button menu");
  const state = bar.made === null ? bar.state : bar.state === "in hand" ? `${bar.made} of ${bar.bends} bends made` : bar.state;
  element("span", "label", `${bar.bar_id}, ${bar.title}: ${state}`, made);
  made.addEventListener("click", () => location.assign(`/bend/${bar.bar_id}`));
  return made;
}

/** Where a phone finds the bars, to be held in front of its camera. */
function codeButton(root: HTMLElement, listed: Listed, back: () => void): HTMLElement {
  const made = element("button", "button menu", "Square codes for a phone");
  made.addEventListener("click", () => void showCodes(root, listed, back));
  return made;
}

async function showCodes(root: HTMLElement, listed: Listed, back: () => void): Promise<void> {
  root.replaceChildren();
  const main = element("main", "content menu", "", root);
  element("h1", "question", "Hold the phone's camera to one", main);
  element("button", "button menu", "Close", main).addEventListener("click", back);
  if (["127.0.0.1", "localhost", "[::1]"].includes(location.hostname)) {
    element("p", "note", "▲ These are addresses of this machine alone: a phone finds them only when the workbench is served to the shop's network.", main);
  }
  for (const bar of listed.bars) {
    const answer = await ask<{ address: string; svg: string }>(`code/${bar.bar_id}`);
    if (answer.kind !== "ok") continue;
    element("p", "note", `${bar.bar_id}, revision ${bar.revision}: ${answer.body.address}`, main);
    const box = element("div", "square", "", main);
    const parsed = new DOMParser().parseFromString(answer.body.svg, "image/svg+xml").documentElement;
    parsed.removeAttribute("width");
    parsed.removeAttribute("height");
    box.append(document.importNode(parsed, true));
  }
}

function codeField(typed: string, bars: ListedBar[]): HTMLElement {
  const made = element("div", "code");
  const label = element("label", "note", "Or what stands on a sheet after \"identity\"", made);
  const field = element("input", "code-field");
  field.id = "code";
  field.value = typed;
  field.autocomplete = "off";
  field.spellcheck = false;
  label.htmlFor = "code";
  made.append(field);
  const told = element("p", "note", "", made);
  told.setAttribute("role", "status");
  const open = (): void => {
    const address = addressOf(field.value, bars);
    const bar = address && !address.includes("?") ? decodeURIComponent(address.slice("/bend/".length)) : "";
    // without the list nobody knows here: the bar's own screen then says it
    if (address && (!bar || bars.length === 0 || bars.some((one) => one.bar_id === bar))) location.assign(address);
    else told.textContent = `Neither a bar nor a sheet in force: ${field.value.trim() || "nothing is typed"}. The sheet in your hand may be old; the bars stand above.`;
  };
  const button = element("button", "button menu", "Open it", made);
  button.addEventListener("click", open);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") open();
  });
  if (typed && !addressOf(typed)) open();
  return made;
}
