// From files and options to the what-if: what `undercroft whatif` does once it is called. Replays are in analysis/whatif/,
// the words in report/whatif-in-words.ts.

import type { InflowStretch } from "../analysis/analyzer.ts";
import { stormRecord } from "../analysis/storms/storm-record.ts";
import { type GapChoice, type JoinedInflow, joinInflow } from "../analysis/whatif/join-inflow.ts";
import { batteryAsUsual, type KnownInstallation, type WhatIfPlan } from "../analysis/whatif/plan.ts";
import { toWhatIfAnswer } from "../analysis/whatif/to-whatif-answer.ts";
import { type WhatIfOptions as RecordedOptions, type WhatIfRow, whatIf } from "../analysis/whatif/what-if.ts";
import type { WhatIfAnswer } from "../analysis/whatif/whatif-answer.ts";
import { readConfigText } from "./config/load-site-file.ts";
import { parseYaml } from "./config/yaml-document.ts";
import { rainOf } from "./rain-file.ts";
import { type Asked, type RecordingCommand, readForAnalysis, refuse, whatIsAsked } from "./read-for-analysis.ts";
import { parseColumnMap } from "./recordings/read-recording.ts";
import { CannotWriteReport } from "./report/cannot-write-report.ts";
import { writeJsonFile } from "./report/json-file.ts";
import { reportPathProblem } from "./report/report-path-problem.ts";
import { whatIfInWords } from "./report/whatif-in-words.ts";
import { sourceKinds } from "./sources/index.ts";
import { parseCandidates } from "./whatif-candidates.ts";
import { type QuickOptions, quickPlans } from "./whatif-quick.ts";
import { listenForWhatIf, type WhatHappened } from "./whatif-recorded.ts";

export interface WhatIfOptions extends RecordingCommand, QuickOptions {
  readonly candidates?: string;
  /** Of another gauge; only a design storm needs it. */
  readonly rain?: string;
  readonly rainMap?: string;
  readonly storm?: boolean | "only" | "after";
  readonly gaps?: GapChoice;
}

/** @param recording a CSV file, gzipped or not, or `-` for standard input */
export async function whatIfOfRecording(recording: string, options: WhatIfOptions): Promise<void> {
  const asked = whatIsAsked(recording, options);
  const wanted = asked.ok ? plansOf(asked, options) : { plans: [], problems: [] };
  const rainColumns =
    options.rainMap === undefined ? { ok: true as const, columns: {} } : parseColumnMap(options.rainMap);
  const problems = [
    ...(asked.ok ? [] : asked.problems),
    ...overwritten(options),
    ...(rainColumns.ok ? [] : [`--rain-map: ${rainColumns.problem}`]),
    ...(options.rainMap !== undefined && options.rain === undefined
      ? ["--rain-map: expected --rain beside it, found none"]
      : []),
    ...wanted.problems,
  ];
  if (!asked.ok || !rainColumns.ok || problems.length > 0) return refuse(problems);
  const listener = listenForWhatIf(asked.siteFile.site);
  if ((await readForAnalysis(recording, asked, listener)) === null) return;
  const { rain } = options;
  const own = rain === undefined ? null : await rainOf(rain, { ...asked, columns: rainColumns.columns });
  if (own === undefined) return;
  const happened = listener.finish();
  const answer = answerTo(asked, wanted.plans, { ...happened, rain: own ?? happened.rain }, options);
  if ("problem" in answer) return refuse([answer.problem]);
  if (options.json === undefined) return console.log(whatIfInWords(answer));
  try {
    writeJsonFile(options.json, answer);
    console.error(`wrote ${options.json}`); // not on standard output, which a program may read
  } catch (error) {
    if (!(error instanceof CannotWriteReport)) throw error;
    refuse([`--json: ${error.message}`]);
  }
}

/** Beside the recording, two more files are read that no answer may be written over. */
function overwritten({ json, candidates, rain, site }: WhatIfOptions): string[] {
  if (json === undefined) return [];
  const paths = [candidates, rain].filter((path) => path !== undefined);
  return paths.flatMap((recording) => {
    const problem = reportPathProblem(json, { recording, site });
    return problem === null ? [] : [`--json: ${problem}`];
  });
}

interface Plans {
  readonly plans: readonly WhatIfPlan[];
  readonly problems: readonly string[];
}

/** Those of the file, those of the options, in this order; the installation as it is stands before them all. */
function plansOf({ siteFile }: Asked, options: WhatIfOptions): Plans {
  const text = readConfigText(options.site);
  const siteKeys = "text" in text ? parseYaml(text.text, options.site, "a site file").keys : {};
  const present = presentPlan(siteFile.site);
  const quick = quickPlans(options, present, siteKeys, options.site, sourceKinds);
  if (options.candidates === undefined) return quick;
  const file = readConfigText(options.candidates);
  if ("found" in file) {
    return { plans: [], problems: [`${options.candidates}: expected a file of candidates, found ${file.found}`] };
  }
  const parsed = parseCandidates(file.text, options.candidates, siteKeys, options.site, sourceKinds);
  if (!parsed.ok) return { plans: [], problems: [...quick.problems, ...parsed.problems] };
  // A cut that is asked for all holds for those that have none of their own.
  const cut = quick.cut === null ? [] : [quick.cut];
  const fromFile = parsed.plans.map((plan) => (plan.cuts.length > 0 ? plan : { ...plan, cuts: cut }));
  return { plans: [...quick.plans, ...fromFile], problems: quick.problems };
}

function presentPlan(site: Asked["siteFile"]["site"]): WhatIfPlan {
  return { name: "as it is", site, takesTurns: null, cuts: [], onBattery: batteryAsUsual, groundHead_m: null };
}

function answerTo(
  { siteFile: { site } }: Asked,
  plans: readonly WhatIfPlan[],
  happened: WhatHappened,
  options: WhatIfOptions,
): WhatIfAnswer | { readonly problem: string } {
  const { course, known, highest_m, atRim_s, firstLevel_m, summary } = happened;
  const recorded = joinInflow(course.inflow, options.gaps);
  if (recorded.stretches.length === 0) {
    return { problem: "recording: expected at least one rest whose inflow can be measured, found none" };
  }
  const played = inflowToPlay(options, recorded, happened, site);
  if ("problem" in played) return played;
  const present = presentPlan(site);
  const asRecorded = { recordedCuts: course.powerCuts, firstLevel_m };
  const asItWas = replayedAsItWas(present, recorded.stretches, known, asRecorded);
  const row = (plan: WhatIfPlan): WhatIfRow =>
    whatIf(plan, played.inflow.stretches, known, played.of === "design-storm" ? {} : asRecorded);
  const [from_s, to_s] = [recorded.stretches[0]?.from_s ?? 0, recorded.stretches.at(-1)?.to_s ?? 0];
  return toWhatIfAnswer({
    site,
    of: played.of,
    inflow: played.inflow,
    asItWas,
    rows: [played.of === "recording" ? asItWas : row(present), ...plans.map(row)],
    recorded: {
      highest_m,
      starts: course.startTimes_s.filter((time_s) => time_s >= from_s && time_s <= to_s).length,
      mostStartsInAnHour: summary.totals.most_starts_in_an_hour,
      run_s: summary.totals.run_s,
      atRim_s,
      powerCuts: course.powerCuts.length,
    },
  });
}

/** Without its battery, where nothing tells what that would have had to give: better than no row at all. */
function replayedAsItWas(
  present: WhatIfPlan,
  inflow: readonly InflowStretch[],
  known: KnownInstallation,
  options: RecordedOptions,
): WhatIfRow {
  const row = whatIf(present, inflow, known, options);
  if (row.outcome !== null) return row;
  return whatIf({ ...present, site: { ...present.site, backup: null } }, inflow, known, options);
}

type Played =
  | { readonly of: WhatIfAnswer["inflow"]["of"]; readonly inflow: JoinedInflow }
  | { readonly problem: string };

function inflowToPlay(
  { storm }: WhatIfOptions,
  recorded: JoinedInflow,
  { course, rain }: WhatHappened,
  site: Asked["siteFile"]["site"],
): Played {
  if (storm === undefined || storm === false) return { of: "recording", inflow: recorded };
  const design = site.design.storm ?? null;
  if (design === null) return { problem: "--storm: expected design.storm in the site file, found nothing" };
  const found = stormRecord(course.inflow, rain, { design, inflowFactor: site.design.inflowFactor });
  if (found.design === null) {
    return {
      problem: `--storm: the inflow of the design storm is not known: ${found.noDesign ?? "no rain was logged"}`,
    };
  }
  const begins_s = recorded.stretches.at(-1)?.to_s ?? 0;
  const wet: InflowStretch[] = found.design.hydrograph.map((stretch) => ({
    ...stretch,
    from_s: stretch.from_s + begins_s,
    to_s: stretch.to_s + begins_s,
  }));
  if (storm !== "after") return { of: "design-storm", inflow: joinInflow(wet) };
  return { of: "recording-then-design-storm", inflow: { ...recorded, stretches: [...recorded.stretches, ...wet] } };
}
