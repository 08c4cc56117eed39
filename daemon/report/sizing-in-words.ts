// The sizing answer for a person at the command line: what came in, what the pump must do, what goes with it, and each sum
// so that it can be done again by hand. What stands in each section is in sizing-lines.ts.

import type { SizingVerdict } from "../../analysis/report/report.ts";
import { startsTooOften } from "../../analysis/sizing/headline.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { duration } from "../../analysis/units/duration.ts";
import { backupLines, floatLines, freeboardLines } from "./sizing-basin-lines.ts";
import { headLines } from "./sizing-head-lines.ts";
import { askLines, measuredLines, pipeLines, pumpLines, requiredLines } from "./sizing-lines.ts";
import { wrapped } from "./wrapped.ts";

export function sizingInWords(answer: SizingAnswer): string {
  const { advice, missing, assumptions, cautions } = answer;
  const sections: readonly (readonly [string, readonly string[]])[] = [
    ["In short", inShort(answer)],
    ["What came in", measuredLines(answer)],
    ["What must be reckoned with", requiredLines(answer)],
    ["The head at that flow", headLines(answer)],
    ["The pump that is there", pumpLines(answer)],
    ["What to ask a supplier for", askLines(answer)],
    ["Other sizes of pipe", pipeLines(answer)],
    ["The floats", floatLines(answer)],
    ["If the pump stops", freeboardLines(answer)],
    ["When the mains fail", backupLines(answer)],
    ["Worth having", advice.map(({ advice: what, reason, source }) => `${what} ${reason} (${source})`)],
    ["Asked for", missing.map(({ key, what, tells, where }) => `${what} (${key}): it tells ${tells}. ${where}.`)],
    ["Taken for granted", assumptions],
    ["Cautions", cautions],
  ];
  const said = sections.filter(([, lines]) => lines.length > 0);
  return [answer.site.name, ...said.map(([title, lines]) => section(title, lines))].join("\n");
}

const verdicts: Readonly<Record<SizingVerdict, string>> = {
  adequate: "Adequate",
  marginal: "Marginal",
  undersized: "Undersized",
  "not-enough-data": "Not enough data",
};

/** What a person reads who reads no further. */
function inShort(answer: SizingAnswer): string[] {
  const { pump, ask_for, freeboard, impossible, missing, seen } = answer;
  const floor = freeboard?.cases.find(({ when }) => when === "peak")?.from_start ?? null;
  const sure = ask_for?.to_be_sure == null ? "" : `; ${ask_for.to_be_sure.words} covers the whole range`;
  const tooOften = startsTooOften(answer);
  // A pump that lifts nothing is the first of what cannot be, and the verdict has said it with both figures.
  const liftSaid = pump?.verdict === "undersized" && pump.moves === null;
  const so = seen?.enough === false ? "By what has been seen so far, ask" : "Ask";
  return [
    ...(pump === null ? [] : [`${verdicts[pump.verdict]}: ${pump.message}`]),
    ...impossible.slice(liftSaid ? 1 : 0),
    ...(missing[0] === undefined || ask_for !== null
      ? []
      : [`To say more, give: ${missing[0].key} (what that is, and where to find it, stands below).`]),
    ...(tooOften === null ? [] : [`${tooOften} See "The floats".`]),
    ...(ask_for === null ? [] : [`${so} for a pump rated ${ask_for.words}${sure}.`]),
    ...(floor === null
      ? []
      : [`If the pump stops at the measured peak, water reaches the floor in ${duration(floor.time.s)}.`]),
  ];
}

function section(title: string, lines: readonly string[]): string {
  return [`\n${title}`, ...lines.flatMap(wrapped)].join("\n");
}
