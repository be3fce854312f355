// One screen of words, one number and at most three buttons, drawn. It knows nothing of bending.

import type { Figure } from "./figures";

export interface Button {
  label: string;
  /** What comes of it, small below. */
  sub?: string;
  act: () => void;
  /** What cannot be undone is held down for a second. */
  hold?: boolean;
  off?: boolean;
}

export interface Picture {
  svg: string;
  name: string;
  isWrong?: boolean;
}

export interface Entry {
  text: string;
  unit: string;
  /** Sets the value as it is wanted. */
  wanted: string;
  nudges: [string, () => void][];
  isOpen: boolean;
}

export interface View {
  id: string;
  question: string;
  figure?: Figure;
  entry?: Entry;
  note?: string[];
  /** Shown only where the screen is tall enough. */
  extra?: string[];
  pictures?: Picture[];
  rows?: string[][];
  /** Not to be bent from: the question stands in red. */
  isOld?: boolean;
  /** Instead of the middle button. */
  hint?: string;
  done?: Button;
  other?: Button;
  back?: Button;
  /** Big buttons under each other in place of all else. */
  menu?: Button[];
}

export interface Head {
  name: string;
  side: string;
  place: string;
  revision: string;
  isOld: boolean;
  link: string;
  linkSign: string;
  act: () => void;
}

const HOLD_MS = 900;
const KNOCK_MS = 250;
const TALL_PX = 800;
/** Letters of a question that fill more than two lines of a phone. */
const LONG = 62;

export function element<K extends keyof HTMLElementTagNameMap>(
  tag: K, classes = "", text = "", within?: HTMLElement,
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  if (classes) made.className = classes;
  if (text) made.textContent = text;
  within?.append(made);
  return made;
}

export function draw(root: HTMLElement, head: Head | null, view: View, keys: (key: string) => void): void {
  const focused = (document.activeElement as HTMLElement | null)?.dataset["slot"];
  const isSame = root.dataset["view"] === view.id;
  const says = view.entry ? "" : [view.done, view.other, view.back].map((one) => one?.label ?? "").join("|");
  const isAnother = !isSame || root.dataset["says"] !== says;
  root.replaceChildren();
  root.dataset["view"] = view.id;
  root.dataset["says"] = says;
  // an answer that comes may change what a button does under the finger: that is another screen too
  if (isAnother) root.dataset["since"] = String(performance.now());
  const since = Number(root.dataset["since"]);
  if (head) root.append(header(head));
  const main = element("main", view.menu ? "content menu" : "content", "", root);
  const isLong = view.question.length > LONG;
  const question = element("h1", `question${view.isOld ? " old" : ""}${isLong ? " long" : ""}`, view.question, main);
  question.tabIndex = -1;
  if (view.menu) {
    for (const one of view.menu) main.append(button("menu", one));
    (isSame ? null : question)?.focus({ preventScroll: true });
    return;
  }
  if (view.figure) main.append(figure(view.figure));
  if (view.entry) main.append(entryField(view.entry));
  for (const line of view.note ?? []) element("p", "note", line, main);
  for (const line of view.extra ?? []) element("p", "note extra", line, main);
  if (view.rows) main.append(table(view.rows));
  const isTall = window.innerHeight >= TALL_PX;
  if (view.entry && !view.entry.isOpen) main.append(nudges(view.entry));
  if (view.entry && !view.entry.isOpen && isTall) main.append(pad(keys, false));
  if (view.pictures?.length && !view.entry?.isOpen) main.append(pictures(view.pictures));
  cropPictures(main);
  const slots = element("div", view.entry?.isOpen ? "slots open" : "slots", "", root);
  if (view.entry?.isOpen) slots.append(pad(keys, true));
  else {
    if (view.back) slots.append(button("back", view.back, since));
    else slots.classList.add("two");
    const isOver = isTall && view.entry !== undefined;
    slots.append(view.other && !isOver ? button("other", view.other, since) : element("div", "hint", view.hint ?? ""));
  }
  slots.append(view.done ? button("done", view.done, since) : element("div", "empty"));
  squeeze(root);
  const again = isSame && focused ? root.querySelector<HTMLElement>(`[data-slot="${focused}"]`) : null;
  (again ?? (isSame ? null : question))?.focus({ preventScroll: true });
}

function header(head: Head): HTMLElement {
  const made = element("button", head.isOld ? "head old" : "head");
  made.dataset["slot"] = "head";
  const first = element("span", "first", "", made);
  element("strong", "name", head.name, first);
  if (head.side) element("strong", "side", head.side, first);
  element("span", "place", head.place, first);
  element("span", "revision", head.revision, first);
  // its name is what stands in it, word by word
  [...first.children].forEach((one) => one.after(" "));
  made.append(" ");
  const second = element("span", "second", "", made);
  if (head.isOld) element("strong", "word", "OLD", second);
  element("span", "link", `${head.linkSign} ${head.link}`, second);
  element("span", "more", "more", second);
  made.addEventListener("click", head.act);
  return made;
}

function figure(told: Figure): HTMLElement {
  const made = element("p", "figure");
  const line = element("span", "squeezed", "", made);
  element("span", "digits", told.whole, line);
  if (told.fraction) element("span", "fraction", told.fraction, line);
  element("span", "unit", told.unit, line);
  return made;
}

function entryField(entry: Entry): HTMLElement {
  const made = element("p", entry.text ? "figure entry" : "figure entry none");
  made.setAttribute("role", "status");
  made.setAttribute("aria-label", entry.text ? `${entry.text} ${entry.unit}` : "nothing typed yet");
  const line = element("span", "squeezed", "", made);
  element("span", "digits", entry.text || "- -", line);
  element("span", "unit", entry.unit, line);
  return made;
}

function nudges(entry: Entry): HTMLElement {
  const made = element("div", "nudges");
  for (const [label, act] of entry.nudges) {
    const key = element("button", "nudge", label, made);
    key.dataset["slot"] = `nudge ${label}`;
    key.addEventListener("click", act);
  }
  return made;
}

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"];

function pad(keys: (key: string) => void, closes: boolean): HTMLElement {
  const made = element("div", closes ? "pad" : "pad within");
  for (const name of KEYS) {
    const key = element("button", "key", name, made);
    key.dataset["slot"] = `key ${name}`;
    if (name === "⌫") key.setAttribute("aria-label", "rub out");
    key.addEventListener("click", () => keys(name));
  }
  if (!closes) return made;
  const close = element("button", "key wide", "Close the keys", made);
  close.dataset["slot"] = "key close";
  close.addEventListener("click", () => keys("close"));
  return made;
}

function table(rows: string[][]): HTMLElement {
  const made = element("table", "rows");
  for (const [at, row] of rows.entries()) {
    const line = made.insertRow();
    for (const cell of row) line.append(element(at === 0 ? "th" : "td", "", cell));
  }
  return made;
}

function pictures(several: Picture[]): HTMLElement {
  const made = element("div", several.length > 1 ? "pictures two" : "pictures");
  for (const one of several) {
    const box = element("div", one.isWrong ? "picture wrong" : "picture", "", made);
    const parsed = new DOMParser().parseFromString(one.svg, "image/svg+xml").documentElement;
    parsed.removeAttribute("width");
    parsed.removeAttribute("height");
    // words and numbers of the drawing stand on the screen too
    parsed.setAttribute("aria-hidden", "true");
    box.append(document.importNode(parsed, true));
    element("span", "caption", one.name, box);
    // over the drawing and not round it: words in a drawing are no part of a button's name
    const over = element("button", "enlarge", "", box);
    over.dataset["slot"] = `picture ${one.name}`;
    over.setAttribute("aria-label", `${one.name}; enlarge`);
    over.addEventListener("click", () => box.classList.toggle("large"));
  }
  return made;
}

function button(slot: string, told: Button, since = 0): HTMLElement {
  const made = element("button", `button ${slot}`);
  element("span", "label", told.label, made);
  if (told.sub) {
    made.classList.add("tight");
    element("span", "sub", told.sub, made);
  }
  if (slot !== "menu") made.dataset["slot"] = slot;
  made.disabled = told.off ?? false;
  if (told.hold) holding(made, told);
  else {
    made.addEventListener("click", () => {
      // a knock of a glove that falls on two screens counts on the first alone
      if (performance.now() - since < KNOCK_MS) return;
      told.act();
    });
  }
  return made;
}

/** Held by finger or key for a second; where neither can be held, pressed twice. */
function holding(made: HTMLButtonElement, told: Button): void {
  made.classList.add("hold");
  let timer = 0;
  let isDone = false;
  const start = (): void => {
    if (timer || isDone) return;
    made.classList.add("held");
    timer = window.setTimeout(() => {
      // drawn anew under the finger: whether it is still held is not known
      if (!made.isConnected) return;
      isDone = true;
      told.act();
    }, HOLD_MS);
  };
  const stop = (): void => {
    window.clearTimeout(timer);
    timer = 0;
    made.classList.remove("held");
  };
  made.addEventListener("pointerdown", start);
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur"]) made.addEventListener(name, stop);
  made.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      event.stopPropagation();
      start();
    }
  });
  made.addEventListener("keyup", stop);
  made.addEventListener("contextmenu", (event) => event.preventDefault());
  let isAsked = false;
  made.addEventListener("click", (event) => {
    // a screen reader's press comes without pointer or key
    if (event.detail !== 0) return;
    if (isAsked) told.act();
    isAsked = true;
    made.querySelector(".label")?.replaceChildren(`${told.label}: press again`);
  });
}

/** Without the white round what is drawn: a small screen has no room for it. */
function cropPictures(root: HTMLElement): void {
  for (const svg of root.querySelectorAll<SVGSVGElement>(".picture svg")) {
    svg.querySelector("rect")?.remove();
    const box = svg.getBBox();
    if (box.width > 0) svg.setAttribute("viewBox", `${box.x - 1} ${box.y - 1} ${box.width + 2} ${box.height + 2}`);
  }
}

/** A number that is too wide is drawn narrower, not lower: its height is what is read from afar. */
function squeeze(root: HTMLElement): void {
  for (const line of root.querySelectorAll<HTMLElement>(".squeezed")) {
    line.style.transform = "";
    const room = (line.parentElement?.clientWidth ?? 0) - 4;
    const wide = line.scrollWidth;
    if (wide > room && room > 0) line.style.transform = `scaleX(${(room / wide).toFixed(3)})`;
  }
}
