// What each moment shows and asks. Words and numbers only; `view.ts` draws them.

import type { Step } from "./contract";
import { awaiting, deciding, finished } from "./deciding";
import { angleFigure, angleText, lengthFigure, lengthText, signedText } from "./figures";
import type { Acts, Known, Made } from "./known";
import { askedCommand, stepOf } from "./local";
import { marksAlong, type Moment } from "./place";
import { asShown } from "./shown";
import { turning } from "./turning";
import type { View } from "./view";
import { backOr, differs, pose } from "./words";

export function viewOf(known: Known, acts: Acts): View {
  if (known.awaitsNumbers) return awaiting(known);
  const { place } = known;
  const made = MOMENTS[place.moment](known, acts);
  return { ...made, id: `${place.moment} ${place.at} ${known.state.number}` };
}

const MOMENTS: Record<Moment, (known: Known, acts: Acts) => Made> = {
  take: ({ bar, settings }, acts) => ({
    question: `Take tube ${bar.od_mm} x ${bar.wall_mm}, cut to`,
    figure: lengthFigure(bar.blank_mm, settings.unit),
    note: [
      bar.batch ? `Batch ${bar.batch}: the same as the calibration?` : `Calibration ${bar.calibration}: the same batch of tube?`,
      `${bar.steps.length} ${bar.steps.length === 1 ? "bend" : "bends"}, die ${bar.die}. Cutting off later: A ${lengthText(bar.trim_a_mm, settings.unit)}, B ${lengthText(bar.trim_b_mm, settings.unit)}.`,
    ],
    pictures: [{ svg: bar.bar_svg, name: "the finished bar" }],
    done: { label: "Same batch: go on", act: acts.next },
    other: { label: "Another batch", act: () => acts.go("batch") },
  }),

  batch: ({ bar }, acts) => ({
    question: "Another batch springs back otherwise",
    note: [
      "These numbers hold for one batch of tube only.",
      `Bend a sample of the new tube first, calibrate, and issue the sheet again. Calibration: ${bar.calibration}.`,
    ],
    done: { label: "Back: it is the same batch", act: () => acts.go("take") },
    back: { label: "Go on all the same: hold", act: acts.next, hold: true },
  }),

  datum: ({ bar }, acts) => ({
    question: "Draw the datum line",
    note: ["A straight line along the whole tube. Every mark sits on it, and turns are seen by it."],
    pictures: [{ svg: bar.marks_svg, name: "the marks" }],
    done: { label: "Drawn", act: acts.next },
    back: { label: "Back", act: acts.back },
  }),

  mark: ({ bar, place, settings }, acts) => {
    const along = marksAlong(bar);
    const step = bar.steps[along[place.at] ?? 0] as Step;
    const isLast = place.at + 1 === along.length;
    return {
      question: `Mark ${place.at + 1} of ${along.length} from A: bend ${step.bend}`,
      figure: lengthFigure(step.mark_mm, settings.unit),
      note: [`From end B: ${lengthText(step.mark_from_b_mm, settings.unit)}`],
      pictures: [{ svg: step.pictures["mark"] ?? "", name: `mark of bend ${step.bend}` }],
      hint: isLast ? `Check: the end at B lies at ${lengthText(bar.blank_mm, settings.unit)}.` : `Next: ${lengthText(bar.steps[along[place.at + 1] ?? 0]!.mark_mm, settings.unit)}`,
      done: { label: "Marked", act: acts.next },
      back: { label: "Back", act: acts.back },
    };
  },

  end: ({ bar, state }, acts) => {
    const step = stepOf(bar, state.step);
    return {
      question: step.turn_end_for_end ? "TURN THE TUBE END FOR END" : `End ${step.fed_from} goes through the die first`,
      note: step.turn_end_for_end ? [`End ${step.fed_from} goes through the die first.`] : [],
      pictures: [
        { svg: step.pictures["end"] ?? "", name: `RIGHT: ${step.fed_from} first` },
        { svg: step.pictures["wrong_end"] ?? "", name: "WRONG", isWrong: true },
      ],
      done: { label: `End ${step.fed_from} is first`, act: acts.next },
      back: backOr(state, acts),
    };
  },

  load: ({ bar, state, settings, place }, acts) => {
    const step = stepOf(bar, state.step);
    const moved = step.mark_mm - step.sheet_mark_mm;
    const anew = Math.abs(moved) < 0.05 ? [] : [`Mark it anew: ${signedText(moved, " mm")} from where the sheet has it.`];
    return {
      question: `Bend ${step.bend}: mark on the die face`,
      figure: lengthFigure(place.given.mark_mm ?? step.mark_mm, settings.unit),
      note: [...anew, ...differs(place.given.mark_mm, step.mark_mm, " mm")],
      pictures: [pose(step)],
      done: { label: "It is on the face", act: acts.next },
      other: { label: "It sits elsewhere", act: () => acts.type("mark") },
      back: backOr(state, acts),
    };
  },

  turn: (known, acts) => turning(known, acts),

  slack: ({ bar, state, settings }, acts) => {
    const step = stepOf(bar, state.step);
    return {
      question: "Take up the slack, then set the degree wheel to",
      figure: { whole: "0.0", fraction: "", unit: "°" },
      ...(step.slip ? { hint: `Scribe the tube at a fixed edge behind the die, and again after the pull: ${lengthText(step.slip.drawn_mm, settings.unit)} apart if nothing slips.` } : {}),
      pictures: [pose(step)],
      done: { label: "Zeroed", act: acts.next },
      back: { label: "Back", act: acts.back },
    };
  },

  pull: ({ bar, state, settings, place }, acts) => {
    const step = stepOf(bar, state.step);
    const asked = askedCommand(bar, state);
    const shown = place.given.command_deg ?? asked;
    const sd = state.pending ? null : step.command_sd_deg;
    return {
      question: shown === null ? "No springback known: sneak up on" : "Pull to, under load",
      figure: angleFigure(shown ?? step.target_deg, settings.gauge),
      note: [
        `Wanted after release: ${angleText(step.target_deg, 2)}`,
        ...differs(place.given.command_deg, asked, "°"),
      ],
      extra: sd === null || asked === null ? [] : [`95 of 100 right readings lie between ${angleText(asked - 1.96 * sd)} and ${angleText(asked + 1.96 * sd)}.`],
      pictures: [pose(step)],
      done: { label: "Pulled", act: acts.next },
      other: { label: "Pulled to another", act: () => acts.type("pull") },
      back: { label: "Back", act: acts.back },
    };
  },

  read: ({ bar, state }) => ({
    question: `Release. What does bend ${stepOf(bar, state.step).bend} read?`,
  }),

  doubt: ({ place }, acts) => ({
    question: DOUBTS[place.doubt]?.[0] ?? "That cannot be",
    note: [DOUBTS[place.doubt]?.[1] ?? ""],
    done: { label: "Read it again", act: () => acts.go("read") },
    ...(place.doubt === "BEND-001" ? {} : { other: { label: "Read twice: it is so", act: () => acts.reading("read twice at the bender: it is so") } }),
    back: { label: "Pulled to another", act: () => acts.go("pull") },
  }),

  add: ({ bar, state, settings }, acts) => {
    const step = stepOf(bar, state.step);
    const pending = state.pending;
    const add = pending?.add_deg ?? step.target_deg - (pending?.released_deg ?? 0);
    const command = pending?.command_deg ?? null;
    return {
      question: `Bend ${step.bend} is under: add`,
      figure: { whole: asShown(add, 1), fraction: "", unit: "°" },
      note: [
        command === null ? "More than the last time." : `Pull to ${angleText(Number(angleFigure(command, settings.gauge).whole))} under load.`,
        `It reads ${angleText(pending?.released_deg ?? 0, 2)}, ${angleText(step.target_deg, 2)} is wanted.`,
      ],
      pictures: [pose(step)],
      done: { label: "Add to it", act: acts.next },
      other: { label: "Leave it so", act: () => acts.go("leave") },
      back: { label: "Mistyped: look at it", act: () => acts.go("last") },
    };
  },

  leave: ({ bar, state, link }, acts) => ({
    question: `Leave bend ${stepOf(bar, state.step).bend} under?`,
    note: link === "with"
      ? ["The workbench then solves the bends to come again."]
      : ["The workbench cannot be asked now: the bends to come keep the sheet's numbers."],
    done: { label: "No: add to it", act: () => acts.go("add") },
    other: { label: link === "with" ? "Leave it: new numbers" : "Leave it: sheet's numbers", act: () => acts.decide(true, link !== "with") },
  }),

  slip: ({ bar, state, settings }, acts) => {
    const last = state.taken[state.taken.length - 1];
    const step = stepOf(bar, last?.step ?? state.step);
    const off = (last?.released_deg ?? 0) - (last?.target_deg ?? 0);
    const said = Math.abs(off) <= bar.bands.angle_deg + 1e-9 ? `✓ ${angleText(last?.released_deg ?? 0, 1)} is within the band (${signedText(off, "°", 2)}).` : `▲ ${angleText(last?.released_deg ?? 0)} is ${signedText(off, "°", 2)} over.`;
    return {
      question: step.slip ? `Bend ${step.bend}, slip check: the two lines lie apart` : `Bend ${step.bend}, slip check: is the mark still on its edge?`,
      ...(step.slip ? { figure: lengthFigure(step.slip.drawn_mm, settings.unit) } : {}),
      note: [said, ...(step.slip ? [`${lengthText(step.slip.limit_mm, settings.unit)} or more short: it slipped.`] : [])],
      done: { label: "Not slipped", act: acts.noSlip },
      other: { label: "It slipped", act: () => acts.type("slip") },
      back: { label: "Mistyped: look at it", act: () => acts.go("last") },
    };
  },

  decide: (known, acts) => deciding(known, acts),

  measure: ({ bar, state, place, settings, unsent }, acts) => {
    const check = bar.checks[place.at];
    const name = check?.name ?? "";
    const got = state.taped.find((one) => one.name === check?.key)?.measured_mm;
    return {
      question: `${place.at + 1} of ${bar.checks.length}${check?.critical ? ", must be right" : ", free, by eye"}: ${name}`,
      figure: lengthFigure(got ?? check?.value_mm ?? 0, settings.unit),
      note:
        got === undefined
          ? ["Only what is typed is kept."]
          : [
              unsent.includes(check?.key ?? "") ? "▲ Kept here until the workbench has it." : "✓ It is with the workbench.",
              `It should be ${lengthText(check?.value_mm ?? 0, settings.unit)}: ${signedText(got - (check?.value_mm ?? 0), " mm")}`,
            ],
      pictures: [{ svg: bar.bar_svg, name: "the finished bar" }],
      done: { label: got === undefined ? "Go on" : "Kept: go on", act: () => (place.at + 1 < bar.checks.length ? acts.go("measure", place.at + 1) : acts.go("done")) },
      other: { label: "It measures ...", act: () => acts.type("measure") },
      back: place.at > 0 ? { label: "Back", act: () => acts.go("measure", place.at - 1) } : { label: "Back: last reading", act: () => acts.go("last") },
    };
  },

  beyond: ({ bar, place, settings }, acts) => {
    const check = bar.checks[place.at];
    return {
      question: "That cannot be on this bar",
      note: [
        `${check?.name ?? ""}: ${lengthText(check?.value_mm ?? 0, settings.unit)} as drawn.`,
        `With every bend far off it lies between ${lengthText(check?.least_mm ?? 0, settings.unit)} and ${lengthText(check?.most_mm ?? 0, settings.unit)}.`,
        "Look which two places it names, and in which unit you type.",
      ],
      done: { label: "Tape it again", act: acts.tapeAgain },
      back: { label: "Leave it out", act: () => acts.go("measure", place.at) },
    };
  },

  done: (known, acts) => finished(known, acts),

  scrapped: (_known, acts) => ({
    question: "This stick is scrapped",
    note: ["Mark it, and keep it from the rack: a bent tube is not straightened for a cage."],
    done: { label: "Other bars", act: acts.leave },
    other: { label: "Begin another stick: hold", act: acts.again, hold: true },
  }),

  last: ({ bar, state }, acts) => {
    const last = state.taken[state.taken.length - 1];
    if (!last) return { question: "Nothing is read yet", done: { label: "Go on", act: acts.back } };
    return {
      question: `Bend ${last.bend} was typed as`,
      figure: { whole: asShown(last.released_deg, 1), fraction: "", unit: "°" },
      note: [`${angleText(last.target_deg, 2)} was wanted.`, ...(state.can_take_back ? [] : ["It was decided on since: a correction asks for the decision again."])],
      pictures: [pose(stepOf(bar, last.step))],
      done: { label: "It is right: go on", act: acts.back },
      other: { label: "Type it anew", act: () => acts.go("fix") },
      ...(state.can_take_back ? { back: { label: "It was of no bend: hold", act: acts.takeBack, hold: true } } : {}),
    };
  },

  fix: ({ state }) => ({ question: `What does bend ${state.taken[state.taken.length - 1]?.bend ?? ""} really read?` }),

  scrap: ({ bar }, acts) => ({
    question: `Scrap this stick of ${bar.state.bar}?`,
    note: ["What was bent stays on record.", "This cannot be undone."],
    done: { label: "No: go on with it", act: acts.back },
    back: { label: "Scrap it: hold", act: () => acts.decide(false, false), hold: true },
  }),
};

const DOUBTS: Record<string, [string, string]> = {
  "BEND-001": ["That cannot be read here", "Type the bend angle: the change of direction, not the angle between the legs. A mark counts from the end of the tube at A."],
  "BEND-002": ["Less than before?", "A bend does not open by itself. Read it again."],
  "BEND-009": ["That does not go with the pull", "So much or so little springback is not likely. Read it again, or say what was really read under load."],
};
