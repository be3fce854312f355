// One bar on this screen: what is shown, what keys and fingers do, and what goes to the workbench.

import type { State } from "./contract";
import type { Wakeful } from "./awake";
import { askedOf, nudged, pressed, rounded, shown, valueOf } from "./entry";
import { angleText, lengthText } from "./figures";
import { doubt } from "./judge";
import { askedCommand, stepOf } from "./local";
import { type Acts, type Known, opText, viewOf } from "./moments";
import { firstOfBend, neighbour, startPlace, type Moment, type Place, type Typing } from "./place";
import type { Settings } from "./settings";
import { signal } from "./sound";
import type { Store } from "./store";
import { Sync } from "./sync";
import { draw, type Button, type Head, type View } from "./view";

type Overlay = "" | "more" | "numbers" | "aside";

export class App {
  readonly sync: Sync;
  place: Place | null = null;
  private overlay: Overlay = "";
  private notice = "";
  private drawn = "";
  private returnTo: Moment | null = null;

  constructor(
    private readonly root: HTMLElement,
    readonly barId: string,
    code: string,
    private readonly store: Store,
    readonly settings: Settings,
    private readonly wakeful: Wakeful,
    private readonly leave: () => void,
  ) {
    this.sync = new Sync(barId, code, store, () => this.show());
  }

  async start(): Promise<void> {
    this.place = (await this.store.get<Place>(`place:${this.barId}`)) ?? null;
    await this.sync.start();
    this.show();
  }

  show(): void {
    const { bar, state } = this.sync;
    if (this.sync.stop && this.sync.queue.length === 0) return this.draw(this.stopped(), true);
    if (!bar || !state) return this.draw(this.unopened(), false);
    this.follow(state);
    if (this.sync.problem) return this.draw(this.problem(), false);
    if (this.overlay) return this.draw(this.overlayView(), false);
    const place = this.place as Place;
    const isTyping = place.typing && !this.known().awaitsNumbers;
    this.draw(isTyping ? this.typingView() : viewOf(this.known(), this.acts), false);
  }

  /** A key of a keyboard, a number pad or a foot pedal. */
  key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const large = this.root.querySelector(".picture.large");
    if (large && ["Escape", "Enter", "PageDown", "PageUp"].includes(event.key)) {
      large.classList.remove("large");
      return event.preventDefault();
    }
    const isButton = event.target instanceof HTMLButtonElement || event.target instanceof HTMLInputElement;
    const typing = this.place?.typing && !this.overlay && !this.sync.problem;
    if (event.key === "PageDown" || (event.key === "Enter" && !isButton)) {
      if (!event.repeat) this.press("done");
    } else if (event.key === "PageUp" || event.key === "Escape") {
      if (!event.repeat) this.press(this.root.querySelector('[data-slot="key close"]') ? "key close" : "back");
    } else if (event.key === "*") {
      this.press("other");
    } else if (typing && event.key === "+") {
      this.nudge(1);
    } else if (typing && event.key === "-" && this.place?.text !== "") {
      this.nudge(-1);
    } else if (typing && /^[\d.,]$|^Backspace$/.test(event.key)) {
      this.typed(event.key);
    } else return;
    event.preventDefault();
  }

  private press(slot: string): void {
    const found = this.root.querySelector<HTMLButtonElement>(`[data-slot="${slot}"]`);
    if (found && !found.disabled && !found.classList.contains("hold")) found.click();
  }

  private known(): Known {
    const { bar, state, link, queue, cost } = this.sync;
    return {
      bar: bar as NonNullable<typeof bar>,
      state: state as State,
      place: this.place as Place,
      settings: this.settings,
      link,
      waiting: queue.length,
      awaitsNumbers: queue.some((op) => op.sent.what === "decision" && op.sent.go_on && !op.sent.as_planned),
      cost,
    };
  }

  private draw(view: View, isStopped: boolean): void {
    const head = this.head(isStopped);
    // a finger may be on a button: what has not changed is not drawn anew
    const all = JSON.stringify([this.settings, head, view]);
    if (all === this.drawn) return;
    this.drawn = all;
    document.documentElement.classList.toggle("dark", this.settings.dark);
    draw(this.root, head, view, (key) => this.typed(key));
  }

  /** Keep to where the bar stands: somebody may have gone on elsewhere. */
  private follow(state: State): void {
    const bar = this.sync.bar;
    const place = this.place;
    if (!bar) return;
    if (!place || place.stick !== state.stick) {
      this.set(startPlace(bar, state));
      return;
    }
    if (place.number === state.number) return;
    if (state.number > place.number) this.notice = "Gone on elsewhere";
    this.set(startPlace(bar, state, place));
  }

  private set(place: Place): void {
    this.place = place;
    void this.store.put(`place:${this.barId}`, place);
  }

  private move(change: Partial<Place>): void {
    this.notice = "";
    this.set({ ...(this.place as Place), ...change });
    this.show();
  }

  private go(moment: Moment, at = 0): void {
    const typing: Typing = moment === "read" ? "read" : moment === "fix" ? "fix" : "";
    if (moment === "last") this.returnTo = (this.place as Place).moment;
    this.move({ moment, at, typing, text: "", keysOpen: false });
  }

  private readonly acts: Acts = {
    next: () => {
      const { bar, state, place } = this.known();
      const here = place.moment === "batch" ? { ...place, moment: "take" as const, at: 0 } : place;
      const spot = neighbour(bar, state, here, 1);
      if (spot) this.go(spot.moment, spot.at);
    },
    back: () => {
      const { bar, state, place } = this.known();
      if (place.moment === "last" || place.moment === "scrap" || place.moment === "fix") {
        const to = this.returnTo ?? startPlace(bar, state).moment;
        return this.go(place.moment === "fix" ? "last" : to);
      }
      const spot = neighbour(bar, state, place, -1);
      if (spot) this.go(spot.moment, spot.at);
    },
    go: (moment, at) => this.go(moment, at),
    type: (what) => this.move({ typing: what, text: "", keysOpen: true }),
    reading: (reason) => void this.read(Number((this.place as Place).text), reason ?? ""),
    noSlip: () => this.acts.afterSlip(),
    afterSlip: () => {
      const { bar, state, place } = this.known();
      const fresh = startPlace(bar, state, place);
      const moment = state.phase === "bend" ? firstOfBend(bar, state) : fresh.moment;
      this.move({ ...fresh, moment });
    },
    decide: (go_on, as_planned) => void this.answer({ what: "decision", go_on, as_planned }),
    takeBack: () => {
      const last = this.known().state.taken.at(-1);
      if (last) void this.answer({ what: "taking-back", of: last.record });
    },
    again: () => void this.sync.again(),
    leave: () => this.leave(),
    retry: () => void this.sync.pump(),
  };

  /** Send, and go to what is asked then. */
  private async answer(sent: Parameters<Sync["send"]>[0]): Promise<void> {
    const place = this.place as Place;
    const before = this.sync.state?.number ?? place.number;
    // the place moves first, so that what comes back is not taken for somebody else's
    this.set({ ...place, number: before + 1, typing: "", text: "" });
    await this.sync.send(sent);
    const { bar, state } = this.known();
    this.set(startPlace(bar, state, place));
    this.show();
  }

  private async read(released: number, reason: string): Promise<void> {
    const { bar, state, place } = this.known();
    const step = stepOf(bar, state.step);
    const given = { released_deg: released, ...place.given };
    const why = reason ? "" : doubt(bar, step, state.pending, askedCommand(bar, state), given);
    if (why) {
      signal("wrong", this.settings.sound);
      return this.move({ moment: "doubt", doubt: why, typing: "", keysOpen: false, text: String(released) });
    }
    this.set({ ...place, number: state.number + 1, moment: "slip", typing: "", text: "", keysOpen: false });
    await this.sync.send({ what: "reading", ...given, ...(reason ? { reason } : {}) });
    const now = this.known().state;
    const isAdd = now.phase === "add";
    signal(isAdd || now.phase === "decide" ? "wrong" : "right", this.settings.sound);
    const kept = isAdd ? { turned_deg: place.given.turned_deg, mark_mm: place.given.mark_mm } : {};
    this.set({ ...startPlace(bar, now, place), moment: isAdd ? "add" : "slip", given: defined(kept) });
    this.show();
  }

  private typed(key: string): void {
    const place = this.place as Place;
    if (key === "close") return this.move({ keysOpen: false, ...(place.typing === "read" || place.typing === "fix" ? {} : { typing: "" as const }) });
    this.move({ text: pressed(place.text, key) });
  }

  private nudge(sign: 1 | -1): void {
    const asked = askedOf(this.known(), (this.place as Place).typing);
    this.move({ text: nudged((this.place as Place).text, sign * asked.steps[1], asked) });
  }

  private typingView(): View {
    const { place, settings } = this.known();
    const asked = askedOf(this.known(), place.typing);
    const [large, small] = asked.steps;
    const wanted = String(asked.unit === "in" ? rounded(asked.wanted, asked) : rounded(asked.wanted, asked).toFixed(1));
    const to = (by: number) => () => this.move({ text: nudged(place.text, by, asked) });
    const value = valueOf(place.text, asked);
    const figure = shown(place.text, asked);
    const isRead = place.typing === "read" || place.typing === "fix";
    const label = asked.unit === "°" ? angleText(asked.wanted, 2) : lengthText(asked.unit === "in" ? asked.wanted * 25.4 : asked.wanted, settings.unit);
    return {
      id: `typing ${place.typing} ${place.at} ${place.keysOpen}`,
      question: asked.question,
      entry: {
        text: figure.whole,
        unit: figure.unit,
        wanted,
        isOpen: place.keysOpen,
        nudges: [
          [`-${large}`, to(-large)], [`-${small}`, to(-small)], [`=${wanted}`, () => this.move({ text: wanted })],
          [`+${small}`, to(small)], [`+${large}`, to(large)],
        ],
      },
      note: place.keysOpen ? [] : [`${label} ${isRead ? "is wanted" : "was asked"}.`],
      done: { label: Number.isNaN(value) ? "Type it first" : isRead ? "That is what it reads" : "That is it", act: () => this.entered(value), off: Number.isNaN(value) },
      other: { label: "Number keys", act: () => this.move({ keysOpen: true }) },
      back: { label: "Back", act: () => (isRead ? this.acts.back() : this.move({ typing: "", text: "" })) },
    };
  }

  private entered(value: number): void {
    const { bar, state, place } = this.known();
    const step = stepOf(bar, state.step);
    const given = { ...place.given };
    switch (place.typing) {
      case "read":
        return void this.read(value, "");
      case "fix":
        return this.fix({ released_deg: value });
      case "slip":
        return this.slipped(value);
      case "mark":
        given.mark_mm = value;
        break;
      case "turn":
        given.turned_deg = (step.turn_deg ?? 0) < 0 ? -value : value;
        break;
      case "pull":
        given.command_deg = value;
        break;
      case "measure":
        return this.move({ typing: "", text: "", keysOpen: false, measured: { ...place.measured, [bar.checks[place.at]?.name ?? ""]: value } });
    }
    this.move({ given, typing: "", text: "", keysOpen: false });
  }

  /** The bend sits nearer to the leading end by what the lines are short. */
  private slipped(apart_mm: number): void {
    const { bar, state } = this.known();
    const last = state.taken.at(-1);
    const step = stepOf(bar, last?.step ?? state.step);
    const slip = (step.slip?.drawn_mm ?? apart_mm) - apart_mm;
    if (!last || slip < (step.slip?.limit_mm ?? 0)) return this.acts.afterSlip();
    const mark = (last.mark_mm ?? step.mark_mm) + (step.fed_from === "A" ? -slip : slip);
    this.fix({ released_deg: last.released_deg, mark_mm: mark });
  }

  private fix(given: { released_deg: number; mark_mm?: number }): void {
    const last = this.known().state.taken.at(-1);
    if (!last) return;
    const reason = given.mark_mm === undefined ? "typed wrongly" : "the tube slipped";
    void this.answer({ what: "correction", of: last.record, reason, ...given });
  }

  private head(isStopped: boolean): Head | null {
    const { bar, state, link, queue, trouble } = this.sync;
    if (!bar || !state) return null;
    const step = stepOf(bar, state.step);
    const waiting = queue.length ? `, ${queue.length} kept here` : "";
    const told = { with: "with the workbench", away: "network away", shut: "this device is not let in" }[link];
    const keeps = this.store.kind === "memory" ? ", this browser keeps nothing" : "";
    const awake = this.wakeful.state === "no" ? ", screen may sleep" : "";
    return {
      name: this.barId,
      side: bar.side,
      place: state.phase === "done" ? "bent" : state.phase === "scrapped" ? "scrapped" : `${state.step} of ${bar.steps.length}: bend ${step.bend}`,
      revision: `rev ${bar.revision}${bar.stick_number > 1 ? ` stick ${bar.stick_number}` : ""}`,
      isOld: state.is_old || isStopped,
      link: trouble || this.notice || told + waiting + keeps + awake,
      linkSign: trouble || this.notice ? "!" : { with: "●", away: "▲", shut: "✕" }[link],
      act: () => {
        this.overlay = this.overlay ? "" : "more";
        this.show();
      },
    };
  }

  private stopped(): View {
    const [first, ...others] = this.sync.stop ?? [];
    const isOld = first?.code === "BEND-011";
    const isOther = first?.code === "BEND-006";
    return {
      id: "stopped",
      question: isOld ? "OLD: do not bend from this sheet" : isOther ? "The tube in the machine is of another sheet" : "This bar cannot be opened",
      note: [first?.sentence ?? "", first?.todo ?? "", ...others.map((one) => one.sentence)].filter(Boolean),
      done: { label: "Look again", act: () => void this.sync.refresh() },
      back: { label: "Other bars", act: this.leave },
    };
  }

  private unopened(): View {
    const isAway = this.sync.link !== "with";
    return {
      id: `unopened ${isAway}`,
      question: isAway ? "The workbench cannot be reached" : "Opening the bar ...",
      note: isAway ? [this.sync.link === "shut" ? "This device is not let in: pair it again at the workbench." : `Bar ${this.barId} was not opened on this device yet, so it has no numbers of it.`] : [],
      ...(isAway ? { done: { label: "Try again", act: () => void this.sync.refresh() } } : {}),
      back: { label: "Other bars", act: this.leave },
    };
  }

  private problem(): View {
    const problem = this.sync.problem as NonNullable<Sync["problem"]>;
    const state = this.sync.bar?.state as State;
    const finding = problem.findings[0];
    const mine = this.sync.queue.map(opText);
    const fits = problem.op.sent.what === "reading" && problem.op.step === state.step && (state.phase === "bend" || state.phase === "add");
    const last = state.taken.at(-1);
    const record = last ? `The record has step ${last.step}: ${angleText(last.released_deg, 2)}.` : "";
    return {
      id: `problem ${problem.op.key}`,
      question: problem.kind === "conflict" ? "Another device has gone on meanwhile" : "The workbench does not take that",
      note: [finding?.sentence ?? "", record, `Typed here and not in the record: ${mine.join("; ")}.`],
      done: { label: problem.kind === "conflict" ? "Keep the record, put mine aside" : "Type it again", act: () => void this.sync.putAside() },
      ...(fits && problem.kind === "conflict" ? { other: { label: `Send mine for step ${state.step}`, act: () => void this.sync.sendMine() } } : {}),
    };
  }

  private overlayView(): View {
    const close: Button = { label: "Close", act: () => this.over("") };
    const { bar, state } = this.known();
    if (this.overlay === "numbers") {
      const unit = this.settings.unit;
      return {
        id: "numbers",
        question: `All of ${this.barId}`,
        rows: [
          ["bend", "mark", "turn", "pull", "wanted", "read"],
          ...bar.steps.map((step) => {
            const read = state.taken.filter((one) => one.step === step.step).at(-1);
            return [
              `${step.step}. ${step.bend}${step.fed_from}`, lengthText(step.mark_mm, unit).replace(` ${unit}`, ""),
              step.turn_deg === null ? "-" : angleText(step.turn_deg), step.command_deg === null ? "?" : angleText(step.command_deg),
              angleText(step.target_deg), read ? angleText(read.released_deg) : "",
            ];
          }),
        ],
        note: [`Blank ${lengthText(bar.blank_mm, unit)}. Sheet ${bar.identity}.`],
        done: close,
      };
    }
    if (this.overlay === "aside") {
      return { id: "aside", question: "Put aside, not in the record", note: this.sync.aside.map(opText), done: close };
    }
    const { settings } = this;
    const awake = { kept: "The screen is kept awake", tried: "The screen should stay awake", no: "The screen may go to sleep: set a long time-out" }[this.wakeful.state];
    const menu: Button[] = [
      close,
      { label: "All numbers of this bar", act: () => this.over("numbers") },
      { label: "The last reading", act: () => this.from("last"), off: state.taken.length === 0 },
      { label: settings.dark ? "White with black" : "Black with white", act: () => this.setting({ dark: !settings.dark }) },
      { label: settings.sound ? "Sound: on" : "Sound: off", act: () => this.setting({ sound: !settings.sound }) },
      { label: `Lengths in ${settings.unit === "mm" ? "mm" : "inches"}`, act: () => this.setting({ unit: settings.unit === "mm" ? "in" : "mm" }) },
      { label: `The gauge reads to ${settings.gauge}°`, act: () => this.setting({ gauge: settings.gauge === 0.1 ? 0.5 : 0.1 }) },
      { label: "Other bars", act: this.leave },
      { label: "Scrap this stick", act: () => this.from("scrap"), off: state.phase === "done" || state.phase === "scrapped" },
    ];
    if (this.sync.aside.length) menu.splice(2, 0, { label: `Put aside: ${this.sync.aside.length}`, act: () => this.over("aside") });
    const old = state.is_old ? (state.findings.find((one) => one.code === "BEND-007")?.sentence ?? "") : "";
    return { id: "more", question: old || awake, menu };
  }

  private over(overlay: Overlay): void {
    this.overlay = overlay;
    this.show();
  }

  private from(moment: "last" | "scrap"): void {
    this.overlay = "";
    this.returnTo = (this.place as Place).moment;
    this.move({ moment, at: 0, typing: "", text: "" });
  }

  private setting(change: Partial<Settings>): void {
    Object.assign(this.settings, change);
    void this.store.put("settings", this.settings);
    this.show();
  }
}

function defined(given: { turned_deg?: number | undefined; mark_mm?: number | undefined }): Place["given"] {
  return Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined));
}
