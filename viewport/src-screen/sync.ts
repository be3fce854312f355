// The bar as the workbench has it, what is still on this screen, and sending that in order until it is there.

import type { Bar, Cost, Finding, Op, Sent, State } from "./contract";
import { withQueue } from "./local";
import { ask } from "./network";
import type { Store } from "./store";

const LOOK_AGAIN_MS = 4_000;
const TRY_AGAIN_MS = 2_500;
const GONE_ON = new Set(["BEND-003", "BEND-004", "BEND-005", "BEND-006", "BEND-008"]);
const CANNOT_KEEP = "STORE-";

interface Told {
  state: State;
  stamp: string;
  screen?: Bar;
}

export interface Problem {
  /** `conflict`: the bar has gone on elsewhere; `refused`: the workbench does not take it. */
  kind: "conflict" | "refused";
  op: Op;
  findings: Finding[];
}

export class Sync {
  bar: Bar | null = null;
  queue: Op[] = [];
  aside: Op[] = [];
  link: "with" | "away" | "shut" = "with";
  problem: Problem | null = null;
  /** Why the bar cannot be opened. */
  stop: Finding[] | null = null;
  cost: Cost | null = null;
  /** What the workbench cannot do just now, such as keep a record on a full disk. */
  trouble = "";
  private busy = false;
  private asking = false;
  private isSettling = false;
  /** How often the workbench told where the bar stands. */
  private heard = 0;
  private timer = 0;

  constructor(
    readonly barId: string,
    private code: string,
    private readonly store: Store,
    private readonly changed: () => void,
  ) {}

  /** Where the bar stands with what is still here. */
  get state(): State | null {
    return this.bar && withQueue(this.bar, this.queue);
  }

  async start(): Promise<void> {
    await this.reread();
    const kept = await this.store.get<Bar>(`bar:${this.barId}`);
    // a code in the address names a sheet: another one than the kept is for the workbench to judge
    if (kept && isWhole(kept) && (this.code === "" || this.code === kept.identity)) {
      this.bar = kept;
      this.changed();
    }
    await this.refresh();
    this.beat();
    window.addEventListener("online", () => void this.pump());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void this.reread().then(() => this.pump());
    });
  }

  /** Keep an answer, then send it. What is kept before it is sent is never lost. */
  async send(sent: Sent): Promise<void> {
    const state = this.state;
    if (!this.bar || !state) return;
    const op: Op = {
      key: newKey(),
      bar: this.barId,
      code: this.code,
      stick: state.stick,
      shown: state.number,
      step: state.step,
      at_ms: Date.now(),
      sent,
    };
    await this.store.put(this.opKey(op), op);
    this.queue = [...this.queue, op];
    this.changed();
    void this.pump();
  }

  /** Send what is here, in order; then look whether the bar has gone on. */
  async pump(): Promise<void> {
    if (this.busy || this.problem) return;
    this.busy = true;
    try {
      let isSent = true;
      while (isSent && !this.problem) {
        if (this.queue.length === 0) await this.lookAgain();
        // what was typed while it looked is not left for the next time
        const op = this.queue[0];
        isSent = op !== undefined && (await this.sendOne(op));
      }
    } finally {
      this.busy = false;
      this.changed();
    }
    void this.askCost();
  }

  /** The person has seen the conflict: send his own reading for what is asked now. */
  sendMine(): Promise<void> {
    return this.settle(() => this.resend());
  }

  /** What was not taken is kept apart, to be looked at; nothing is thrown away. */
  putAside(): Promise<void> {
    return this.settle(() => this.layAside());
  }

  /** The record of that bend is wrong, and what was read here is right: it is put right by a further record. */
  mineIsRight(of: number, released_deg: number): Promise<void> {
    return this.settle(async () => {
      await this.layAside();
      await this.send({ what: "correction", of, released_deg, reason: "read on another device" });
    });
  }

  /** A second press while the first is still at work does nothing more. */
  private async settle(work: () => Promise<void>): Promise<void> {
    if (this.isSettling) return;
    this.isSettling = true;
    try {
      await work();
    } finally {
      this.isSettling = false;
    }
  }

  private async resend(): Promise<void> {
    const problem = this.problem;
    if (!problem || !this.bar) return;
    const by = this.bar.state.number - problem.op.shown;
    const { stick, taped } = this.bar.state;
    const moved = this.queue.map((op) => ({ ...op, shown: op.shown + by, stick }));
    const mine = problem.op.sent;
    if (mine.what === "distance" && moved[0]) {
      moved[0].sent = { ...mine, over: taped.find((one) => one.name === mine.name)?.key ?? "" };
    }
    for (const op of moved) await this.store.put(this.opKey(op), op);
    this.queue = moved;
    this.problem = null;
    this.changed();
    void this.pump();
  }

  private async layAside(): Promise<void> {
    // what follows a bend hangs on it; a distance hangs on nothing, so that the others still go
    const [first, ...after] = this.queue;
    const alone = first && this.problem?.op.sent.what === "distance";
    const gone = alone ? [first] : this.queue;
    const rest = alone ? after.map((op) => ({ ...op, shown: op.shown - 1 })) : [];
    for (const op of gone) {
      await this.store.put(`aside:${this.barId}:${op.key}`, op);
      await this.store.drop(this.opKey(op));
    }
    for (const op of rest) await this.store.put(this.opKey(op), op);
    this.aside = [...this.aside, ...gone];
    this.queue = rest;
    this.problem = null;
    await this.refresh();
  }

  /** Begin another stick. */
  async again(): Promise<void> {
    const answer = await ask<Bar>("again", { bar: this.barId, code: "" });
    if (answer.kind === "ok") {
      this.code = ""; // the sheet in force now may be another than the one that the address names
      await this.take(answer.body);
    } else if (answer.kind === "refused") this.trouble = answer.findings[0]?.sentence ?? "";
    else this.link = answer.kind;
    this.changed();
  }

  async refresh(): Promise<void> {
    const heard = this.heard;
    const answer = await ask<Bar>(`bar/${this.barId}${this.code ? `?code=${this.code}` : ""}`);
    // it was answered before what was heard meanwhile, and would take the bar back to then
    if (answer.kind === "ok" && heard !== this.heard) return this.refresh();
    if (answer.kind === "ok") {
      this.stop = null;
      this.link = "with";
      await this.take(answer.body);
    } else if (answer.kind === "refused") {
      this.link = "with";
      this.stop = answer.findings;
    } else {
      this.link = answer.kind;
    }
    this.changed();
  }

  private async take(bar: Bar): Promise<void> {
    this.heard += 1;
    this.bar = bar;
    await this.dropKnown(bar.state);
    await this.store.put(`bar:${this.barId}`, bar);
  }

  private async sendOne(op: Op): Promise<boolean> {
    const { what, ...given } = op.sent;
    const body = {
      bar: op.bar, code: op.code, stick: op.stick, shown: op.shown, key: op.key,
      age_s: Math.min(Math.max(0, (Date.now() - op.at_ms) / 1000), 5_000_000), ...given,
    };
    const answer = await ask<Told>(what, body, what === "decision");
    if (answer.kind === "ok") {
      this.link = "with";
      this.trouble = "";
      await this.took(op, answer.body);
      return true;
    }
    if (answer.kind === "refused") {
      this.link = "with";
      await this.refused(op, answer.findings);
      return false;
    }
    this.link = answer.kind;
    return false;
  }

  private async took(op: Op, told: Told): Promise<void> {
    const before = this.bar;
    this.heard += 1;
    this.queue = this.queue.filter((one) => one.key !== op.key);
    if (told.screen) {
      this.bar = told.screen;
    } else if (before) {
      this.bar = { ...before, state: told.state, stamp: told.stamp };
      if (JSON.stringify(before.state.plan) !== JSON.stringify(told.state.plan)) await this.refresh();
    }
    await this.store.put(`bar:${this.barId}`, this.bar);
    await this.store.drop(this.opKey(op));
    this.changed();
  }

  private async refused(op: Op, findings: Finding[]): Promise<void> {
    const code = findings[0]?.code ?? "";
    if (code.startsWith(CANNOT_KEEP)) {
      this.trouble = findings[0]?.sentence ?? "";
      return;
    }
    const problem: Problem = { kind: GONE_ON.has(code) ? "conflict" : "refused", op, findings };
    const answer = await ask<Bar>(`bar/${this.barId}`);
    if (answer.kind === "ok") await this.take(answer.body);
    this.problem = this.queue.some((one) => one.key === op.key) ? problem : null;
  }

  private async lookAgain(): Promise<void> {
    if (!this.bar) return this.refresh();
    const answer = await ask<{ stamp: string }>(`stamp/${this.barId}`);
    if (answer.kind === "ok") {
      this.link = "with";
      if (answer.body.stamp !== this.bar.stamp || this.stop) await this.refresh();
    } else if (answer.kind !== "refused") {
      this.link = answer.kind;
    }
  }

  private async askCost(): Promise<void> {
    const state = this.state;
    const isAsked = state && this.queue.length === 0 && (state.phase === "decide" || state.phase === "done");
    if (!isAsked || this.asking || this.link !== "with") return;
    if (this.cost && this.cost.number === state.bend_record && this.cost.stick === state.stick) return;
    this.asking = true;
    const answer = await ask<{ cost: Cost | null }>(`cost/${this.barId}`, undefined, true);
    this.asking = false;
    if (answer.kind === "ok") this.cost = answer.body.cost;
    else if (answer.kind !== "refused") this.link = answer.kind;
    this.changed();
  }

  private beat(): void {
    window.clearTimeout(this.timer);
    const wait = this.queue.length > 0 || this.link !== "with" ? TRY_AGAIN_MS : LOOK_AGAIN_MS;
    this.timer = window.setTimeout(() => {
      const due = document.visibilityState === "visible" || this.queue.length > 0;
      void (due ? this.pump() : Promise.resolve()).finally(() => this.beat());
    }, wait);
  }

  /** What another page of this device, or this one before the power went, has kept. */
  private async reread(): Promise<void> {
    const kept = await this.store.all<Op>(`op:${this.barId}:`);
    const here = new Set(this.queue.map((op) => op.key));
    const known = new Set(this.bar?.state.keys ?? []);
    const more = kept.filter((op) => !here.has(op.key) && !known.has(op.key));
    this.queue = [...this.queue, ...more].sort((a, b) => a.shown - b.shown || a.at_ms - b.at_ms);
    this.aside = await this.store.all<Op>(`aside:${this.barId}:`);
  }

  private async dropKnown(state: State): Promise<void> {
    const known = new Set(state.keys);
    for (const op of this.queue.filter((one) => known.has(one.key))) await this.store.drop(this.opKey(op));
    this.queue = this.queue.filter((op) => !known.has(op.key));
  }

  private opKey(op: Op): string {
    return `op:${this.barId}:${op.key}`;
  }
}

/** Whether what was kept has all that this page needs: an earlier page kept less. */
function isWhole(kept: Bar): boolean {
  return Array.isArray(kept.state.taped);
}

/** Random, also where the page is not served securely and has no randomUUID. */
function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
