// What opens over a moment when its head is touched.

import type { Awake } from "./awake";
import type { Op } from "./contract";
import { angleText, lengthText } from "./figures";
import type { Known } from "./known";
import type { Settings } from "./settings";
import type { Button, View } from "./view";
import { opText } from "./words";

export type Overlay = "" | "more" | "numbers" | "aside";

export interface OverlayActs {
  over(overlay: Overlay): void;
  from(moment: "last" | "scrap"): void;
  set(change: Partial<Settings>): void;
  leave(): void;
}

const AWAKE: Record<Awake, string> = {
  kept: "The screen is kept awake",
  tried: "The screen should stay awake",
  no: "The screen may go to sleep: set a long time-out",
};

export function overlayView(overlay: Overlay, known: Known, aside: Op[], awake: Awake, acts: OverlayActs): View {
  const close: Button = { label: "Close", act: () => acts.over("") };
  if (overlay === "numbers") return { ...numbers(known), done: close };
  if (overlay === "aside") return { id: "aside", question: "Put aside, not in the record", note: aside.map(opText), done: close };
  const { state, settings } = known;
  const menu: Button[] = [
    close,
    { label: "All numbers of this bar", act: () => acts.over("numbers") },
    { label: "The last reading", act: () => acts.from("last"), off: state.taken.length === 0 },
    { label: settings.dark ? "Change to black on white" : "Change to white on black", act: () => acts.set({ dark: !settings.dark }) },
    { label: settings.sound ? "Sound: on" : "Sound: off", act: () => acts.set({ sound: !settings.sound }) },
    { label: `Lengths in ${settings.unit === "mm" ? "mm" : "inches"}`, act: () => acts.set({ unit: settings.unit === "mm" ? "in" : "mm" }) },
    { label: `The gauge reads to ${settings.gauge}°`, act: () => acts.set({ gauge: settings.gauge === 0.1 ? 0.5 : 0.1 }) },
    { label: "Other bars", act: acts.leave },
    { label: "Scrap this stick", act: () => acts.from("scrap"), off: state.phase === "done" || state.phase === "scrapped" },
  ];
  if (aside.length) menu.splice(2, 0, { label: `Put aside: ${aside.length}`, act: () => acts.over("aside") });
  const old = state.is_old ? (state.findings.find((one) => one.code === "BEND-007")?.sentence ?? "") : "";
  return { id: "more", question: old || AWAKE[awake], menu };
}

function numbers({ bar, state, settings }: Known): View {
  const unit = settings.unit;
  const rows = bar.steps.map((step) => {
    const read = state.taken.filter((one) => one.step === step.step).at(-1);
    return [
      `${step.step}. ${step.bend}${step.fed_from}`,
      lengthText(step.mark_mm, unit).replace(` ${unit}`, ""),
      step.turn_deg === null ? "-" : angleText(step.turn_deg),
      step.command_deg === null ? "?" : angleText(step.command_deg),
      angleText(step.target_deg),
      read ? angleText(read.released_deg) : "",
    ];
  });
  return {
    id: "numbers",
    question: `All of ${state.bar}`,
    rows: [["bend", "mark", "turn", "pull", "wanted", "read"], ...rows],
    note: [`Blank ${lengthText(bar.blank_mm, unit)}. Sheet ${bar.identity}.`],
  };
}
