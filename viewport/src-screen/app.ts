// One bar on this screen: what is shown, what keys and fingers do, and what goes to the workbench.

import type { State } from "./contract";
import type { Wakeful } from "./awake";
import { askedOf, nudged, pressed } from "./entry";
import { canBe, doubt } from "./judge";
import { askedCommand, stepOf } from "./local";
import type { Acts, Known } from "./known";
import { viewOf } from "./moments";
import { overlayView, type Overlay } from "./overlays";
import { firstOfBend, neighbour, startPlace, type Moment, type Place, type Typing } from "./place";
import type { Settings } from "./settings";
import { signal } from "./sound";
import type { Store } from "./store";
import { Sync } from "./sync";
import { headOf, problemView, stoppedView, unopenedView } from "./standing";
import { typingView, type TypingActs } from "./typing";
import { draw, type View } from "./view";

export class App {
  readonly sync: Sync;
  place: Place | null = null;
  private overlay: Overlay = "";
  private notice = "";
  private drawn = "";
  private returnTo: Moment | null = null;
  private isKeeping = false;

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
    if (this.isKeeping) return;
    const { bar, state } = this.sync;
    if (this.sync.stop && this.sync.queue.length === 0) return this.draw(stoppedView(this.sync, this.leave), true);
    if (!bar || !state) return this.draw(unopenedView(this.sync, this.leave), false);
    this.follow(state);
    if (this.sync.problem) return this.draw(problemView(this.sync), false);
    if (this.overlay) return this.draw(this.overlaid(), false);
    const place = this.place as Place;
    const known = this.known();
    const isTyping = place.typing && !known.awaitsNumbers;
    this.draw(isTyping ? typingView(known, this.typing) : viewOf(known, this.acts), false);
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
      unsent: queue.flatMap((op) => (op.sent.what === "distance" ? [op.sent.name] : [])),
      awaitsNumbers: queue.some((op) => op.sent.what === "decision" && op.sent.go_on && !op.sent.as_planned),
      cost,
    };
  }

  private draw(view: View, isStopped: boolean): void {
    const lacks = [
      ...(this.store.kind === "memory" ? ["this browser keeps nothing"] : []),
      ...(this.wakeful.state === "no" ? ["screen may sleep"] : []),
    ];
    const told = { barId: this.barId, notice: this.notice, at: this.place?.moment ?? "", lacks, isStopped };
    const head = headOf(this.sync, told, () => this.over(this.overlay ? "" : "more"));
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
    // distances that were taped elsewhere, or are on their way, take nobody from what he is at
    if (state.phase === "done" && state.bend_record <= place.number) return this.set({ ...place, number: state.number });
    if (state.number > place.number) this.notice = "Gone on elsewhere";
    this.set(startPlace(bar, state));
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
    reading: (reason) => void this.keep(() => this.read(Number((this.place as Place).text), reason ?? "")),
    noSlip: () => this.acts.afterSlip(),
    afterSlip: () => {
      const { bar, state } = this.known();
      const fresh = startPlace(bar, state);
      const moment = state.phase === "bend" ? firstOfBend(bar, state) : fresh.moment;
      this.move({ ...fresh, moment });
    },
    decide: (go_on, as_planned) => void this.keep(() => this.answer({ what: "decision", go_on, as_planned })),
    takeBack: () => {
      const last = this.known().state.taken.at(-1);
      if (last) void this.keep(() => this.answer({ what: "taking-back", of: last.record }));
    },
    again: () => void this.sync.again(),
    leave: () => this.leave(),
    retry: () => void this.sync.pump(),
    tapeAgain: () => this.move({ moment: "measure", typing: "measure", text: "", keysOpen: true }),
  };

  /** While the device writes down what was said, the screen stands still and a second press says nothing more. */
  private async keep(work: () => Promise<void>): Promise<void> {
    if (this.isKeeping) return;
    this.isKeeping = true;
    try {
      await work();
    } finally {
      this.isKeeping = false;
      this.show();
    }
  }

  /** Send, and go to what is asked then. */
  private async answer(sent: Parameters<Sync["send"]>[0]): Promise<void> {
    const place = this.place as Place;
    const before = this.sync.state?.number ?? place.number;
    // the place moves first, so that what comes back is not taken for somebody else's
    this.set({ ...place, number: before + 1, typing: "", text: "" });
    await this.sync.send(sent);
    const { bar, state } = this.known();
    this.set(startPlace(bar, state));
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
    this.set({ ...startPlace(bar, now), moment: isAdd ? "add" : "slip", given: defined(kept) });
  }

  /** A distance goes to the workbench as a reading does; the place stays, so that what is kept is seen. */
  private async taped(measured_mm: number): Promise<void> {
    const { bar, state, place } = this.known();
    const check = bar.checks[place.at];
    if (!check) return;
    if (!canBe(check, measured_mm)) {
      signal("wrong", this.settings.sound);
      return this.move({ moment: "beyond", typing: "", keysOpen: false });
    }
    const over = state.taped.find((one) => one.name === check.key)?.key ?? "";
    this.move({ typing: "", text: "", keysOpen: false });
    await this.sync.send({ what: "distance", name: check.key, measured_mm, over });
    signal("right", this.settings.sound);
  }

  private readonly typing: TypingActs = {
    move: (change) => this.move(change),
    entered: (value) => this.entered(value),
    back: () => this.acts.back(),
  };

  private typed(key: string): void {
    const place = this.place as Place;
    if (key === "close") return this.move({ keysOpen: false, ...(place.typing === "read" || place.typing === "fix" ? {} : { typing: "" as const }) });
    this.move({ text: pressed(place.text, key) });
  }

  private nudge(sign: 1 | -1): void {
    const asked = askedOf(this.known(), (this.place as Place).typing);
    this.move({ text: nudged((this.place as Place).text, sign * asked.steps[1], asked) });
  }

  private entered(value: number): void {
    const { bar, state, place } = this.known();
    const step = stepOf(bar, state.step);
    const given = { ...place.given };
    switch (place.typing) {
      case "read":
        return void this.keep(() => this.read(value, ""));
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
        return void this.keep(() => this.taped(value));
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
    void this.keep(() => this.answer({ what: "correction", of: last.record, reason, ...given }));
  }

  private overlaid(): View {
    return overlayView(this.overlay, this.known(), this.sync.aside, this.wakeful.state, {
      over: (overlay) => this.over(overlay),
      from: (moment) => this.from(moment),
      set: (change) => this.setting(change),
      leave: this.leave,
    });
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
