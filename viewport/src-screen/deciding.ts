// What is decided after a bend that is off, and what came of the bar.

import type { Cost } from "./contract";
import { angleText, lengthFigure, lengthText, signedText } from "./figures";
import type { Acts, Known, Made } from "./known";
import { stepOf, straysOf } from "./local";
import type { View } from "./view";

export function awaiting({ link }: Known): View {
  return link === "with"
    ? { id: "awaiting", question: "Writing the new numbers", note: ["A moment: do not bend until they are here."] }
    : {
        id: "awaiting away",
        question: "The new numbers are not here yet",
        note: ["You decided for new numbers, and the workbench cannot be reached.", "Do not bend until they are here. It goes on by itself."],
      };
}

export function deciding(known: Known, acts: Acts): Made {
  const { state, cost, link, waiting, settings, bar } = known;
  const last = state.taken[state.taken.length - 1];
  const off = (last?.released_deg ?? 0) - (last?.target_deg ?? 0);
  const said = Math.abs(off) > bar.bands.angle_deg ? `Bend ${last?.bend} is ${angleText(Math.abs(off), 2)} ${off > 0 ? "over" : "under"}.` : `Bend ${last?.bend} was turned or marked otherwise than asked.`;
  const scrap = { label: "Scrap: hold", act: () => acts.decide(false, link !== "with"), hold: true };
  const isKnown = cost && cost.number === state.bend_record && cost.stick === state.stick;
  if (isKnown && waiting === 0) {
    const gap = cost.solved.gap_mm;
    const came = (one: Cost["solved"]): string => `${one.gap_mm === null ? "" : `gap ${bare(one.gap_mm)}, `}ends off ${bare(one.miss_a_mm)}, ${bare(one.miss_b_mm)} ${settings.unit}`;
    const bare = (value: number): string => lengthText(value, settings.unit).replace(` ${settings.unit}`, "");
    const isLast = last !== undefined && last.step === bar.steps.length;
    const length = (value: number | null) => (value === null ? "-" : lengthText(value, settings.unit));
    return {
      question: gap === null ? "Predicted miss of the worse end" : "Predicted worst gap",
      figure: lengthFigure(gap ?? Math.max(cost.solved.miss_a_mm, cost.solved.miss_b_mm), settings.unit),
      note: [
        `${said}${cost.drawn_gap_mm === null ? "" : ` As drawn the worst gap is ${length(cost.drawn_gap_mm)}.`}`,
        cost.within_limits ? "✓ Every limit that was checked is met." : `▲ Not met: ${cost.checks.filter((one) => one.verdict === "fail").map((one) => one.name).join(", ")}. Scrap is proposed.`,
      ],
      extra: cost.changes.map((one) => `Bend ${one.bend}: ${angleText(one.now_deg, 2)} instead of ${angleText(one.was_deg, 2)}, mark ${length(one.now_mm)} instead of ${length(one.was_mm)}.`),
      ...(isLast
        ? { done: { label: "Go on: it is bent", sub: came(cost.carried_on), act: () => acts.decide(true, true) } }
        : {
            done: { label: "Go on: new numbers", sub: came(cost.solved), act: () => acts.decide(true, false) },
            other: { label: "Go on: sheet's numbers", sub: came(cost.carried_on), act: () => acts.decide(true, true) },
          }),
      back: scrap,
    };
  }
  const isStray = last !== undefined && straysOf(bar, stepOf(bar, last.step), last).includes("turn");
  const onSheet = { label: "Go on: sheet's numbers", act: () => acts.decide(true, true), off: isStray };
  const off_figure = { whole: signedText(off, ""), fraction: "", unit: "°" };
  if (link === "with") {
    return {
      question: `${said} Solving the bends to come`,
      figure: off_figure,
      note: ["The workbench solves them again for the ends and the gaps. A moment."],
      other: onSheet,
      back: scrap,
    };
  }
  return {
    question: `${said} No network`,
    figure: off_figure,
    note: [
      "The workbench should solve the bends to come again.",
      isStray ? "The tube was turned otherwise: wait for the workbench." : "Wait, or go on with the sheet's numbers.",
    ],
    done: { label: "Ask the workbench again", act: acts.retry },
    other: onSheet,
    back: scrap,
  };
}

export function finished({ bar, state, cost, settings, waiting }: Known, acts: Acts): Made {
  const isKnown = cost && cost.number === state.bend_record && cost.stick === state.stick;
  const bent = isKnown ? cost.carried_on : null;
  const taped = bar.checks.flatMap((check, at) => {
    const one = state.taped.find((had) => had.name === check.key);
    return one ? [{ number: at + 1, off_mm: one.measured_mm - check.value_mm }] : [];
  });
  const worst = taped.reduce<(typeof taped)[0] | null>((so, one) => (so && Math.abs(so.off_mm) >= Math.abs(one.off_mm) ? so : one), null);
  const gap = bent?.gap_mm ?? null;
  return {
    question: bent === null ? "Every bend is made" : gap === null ? "Bent. Worse end is off by" : "Bent. Worst gap as bent",
    ...(bent === null ? {} : { figure: lengthFigure(gap ?? Math.max(bent.miss_a_mm, bent.miss_b_mm), settings.unit) }),
    note: [
      waiting > 0
        ? `▲ Not all is with the workbench: ${waiting} still here. Keep this page open.`
        : `✓ All is with the workbench: every reading${taped.length ? ` and ${taped.length} ${taped.length === 1 ? "distance" : "distances"}` : ""}.`,
      ...(bent === null ? [] : [`After the test fit cut off: A ${lengthText(bent.trim_a_mm, settings.unit)}, B ${lengthText(bent.trim_b_mm, settings.unit)}.`]),
      ...(worst === null ? [] : [`Taped: most ${signedText(worst.off_mm, " mm")} off (${worst.number}).`]),
    ],
    pictures: [{ svg: bar.bar_svg, name: "the finished bar" }],
    done: { label: "Other bars", act: acts.leave },
    other: { label: "Begin another stick: hold", act: acts.again, hold: true },
    back: bar.checks.length > 0 ? { label: "Back: measures", act: () => acts.go("measure", bar.checks.length - 1) } : { label: "Back: last reading", act: () => acts.go("last") },
  };
}
