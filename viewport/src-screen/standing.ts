// The head of every screen, and the screens that stand in place of a moment.

import type { Sync } from "./sync";
import type { State } from "./contract";
import { angleText } from "./figures";
import { stepOf } from "./local";
import type { Head, View } from "./view";
import { opText } from "./words";

/** What the head says besides where the bar stands. */
export interface Told {
  barId: string;
  notice: string;
  /** The moment that is shown. */
  at: string;
  /** What this device cannot do: keep, stay awake. */
  lacks: string[];
  isStopped: boolean;
}

export function headOf(sync: Sync, told: Told, act: () => void): Head | null {
  const { bar, state, link, queue, trouble } = sync;
  if (!bar || !state) return null;
  // until its slip is checked and what follows is decided, the bend that was read is the one in hand
  const now = told.at === "slip" || told.at === "decide" ? (state.taken.at(-1)?.step ?? state.step) : state.step;
  const step = stepOf(bar, now);
  const waiting = queue.length ? `, ${queue.length} kept here` : "";
  const linked = { with: "with the workbench", away: "network away", shut: "this device is not let in" }[link];
  const lacks = told.lacks.map((one) => `, ${one}`).join("");
  const first = trouble || told.notice;
  return {
    name: told.barId,
    side: bar.side,
    place: state.phase === "done" ? "bent" : state.phase === "scrapped" ? "scrapped" : `${now} of ${bar.steps.length}: bend ${step.bend}`,
    revision: `rev ${bar.revision}${bar.stick_number > 1 ? ` stick ${bar.stick_number}` : ""}`,
    isOld: state.is_old || told.isStopped,
    link: first || linked + waiting + lacks,
    linkSign: first ? "!" : { with: "●", away: "▲", shut: "✕" }[link],
    act,
  };
}

export function stoppedView(sync: Sync, leave: () => void): View {
  const [first, ...others] = sync.stop ?? [];
  const isOld = first?.code === "BEND-011";
  const isOther = first?.code === "BEND-006";
  return {
    id: "stopped",
    isOld,
    question: isOld ? "OLD: do not bend from this sheet" : isOther ? "The tube in the machine is of another sheet" : "This bar cannot be opened",
    note: [first?.sentence ?? "", first?.todo ?? "", ...others.map((one) => one.sentence)].filter(Boolean),
    done: { label: "Look again", act: () => void sync.refresh() },
    back: { label: "Other bars", act: leave },
  };
}

export function unopenedView(sync: Sync, leave: () => void): View {
  const isAway = sync.link !== "with";
  return {
    id: `unopened ${isAway}`,
    question: isAway ? "The workbench cannot be reached" : "Opening the bar ...",
    note: isAway ? [sync.link === "shut" ? "This device is not let in: pair it again at the workbench." : `Bar ${sync.barId} was not opened on this device yet, so it has no numbers of it.`] : [],
    ...(isAway ? { done: { label: "Try again", act: () => void sync.refresh() } } : {}),
    back: { label: "Other bars", act: leave },
  };
}

export function problemView(sync: Sync): View {
  const problem = sync.problem as NonNullable<Sync["problem"]>;
  const state = sync.bar?.state as State;
  const finding = problem.findings[0];
  const sent = problem.op.sent;
  const isTaped = sent.what === "distance";
  const mine = isTaped ? [opText(problem.op)] : sync.queue.map(opText);
  const isNext = sent.what === "reading" && problem.op.step === state.step && (state.phase === "bend" || state.phase === "add");
  const fits = isTaped ? state.phase === "done" : isNext;
  const last = state.taken.at(-1);
  const isSame = sent.what === "reading" && last?.step === problem.op.step && state.can_take_back;
  const mineIsRight = isSame && last ? { label: `Mine is right: ${angleText(sent.released_deg)}`, act: () => void sync.mineIsRight(last.record, sent.released_deg) } : undefined;
  const record = last && !isTaped ? `The record has step ${last.step}: ${angleText(last.released_deg, 2)}.` : "";
  return {
    id: `problem ${problem.op.key}`,
    question: problem.kind === "conflict" ? "Another device has gone on meanwhile" : "The workbench does not take that",
    note: [finding?.sentence ?? "", record, `Typed here and not in the record: ${mine.join("; ")}.`].filter(Boolean),
    done: { label: problem.kind === "conflict" ? "Keep the record, put mine aside" : "Type it again", act: () => void sync.putAside() },
    ...(fits && problem.kind === "conflict" ? { other: { label: isTaped ? `Mine is right: ${mine.join("")}` : `Send mine for step ${state.step}`, act: () => void sync.sendMine() } } : mineIsRight && problem.kind === "conflict" ? { other: mineIsRight } : {}),
  };
}
