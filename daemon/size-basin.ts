// From files and options to the sizing answer: what `undercroft size` does once it is called. The sums are in
// analysis/sizing/, the words in report/sizing-in-words.ts.

import { usuallyWanted, usualRuler_m, usualWatch_s } from "../analysis/sizing/hand-test.ts";
import type { HandTestGiven, LoggedRecord, SizingRequest } from "../analysis/sizing/request.ts";
import { sizeBasin } from "../analysis/sizing/size-basin.ts";
import { parseQuantity, QuantityError } from "../analysis/units/quantity.ts";
import type { Dimension } from "../analysis/units/unit.ts";
import { collectRecord } from "./logged-record.ts";
import { rainOf } from "./rain-file.ts";
import { type Asked, type RecordingCommand, readForAnalysis, refuse, whatIsAsked } from "./read-for-analysis.ts";
import { parseColumnMap } from "./recordings/read-recording.ts";
import { reportPathProblem } from "./report/report-path-problem.ts";
import { sizingInWords } from "./report/sizing-in-words.ts";
import { reportFileProblems, type SizingReportOptions, writeSizingFiles } from "./report/sizing-report-files.ts";
import { parseRise, riseBeyond } from "./rise-text.ts";

export interface SizeOptions extends RecordingCommand, SizingReportOptions {
  readonly recording?: string;
  readonly rain?: string;
  readonly rainMap?: string;
  readonly rise?: readonly string[];
  readonly ruler?: string;
  readonly watch?: string;
  readonly within?: string;
}

export async function sizeFromFiles(options: SizeOptions): Promise<void> {
  const request = await sizingRequest(options);
  if (request === null) return;
  const answer = sizeBasin(request);
  if ((options.json ?? options.html ?? options.pdf) === undefined) return console.log(sizingInWords(answer));
  const problem = await writeSizingFiles(request, answer, options, new Date());
  if (problem !== null) return refuse([problem]);
  // Not on standard output, which a program may read.
  for (const path of [options.json, options.html, options.pdf]) if (path !== undefined) console.error(`wrote ${path}`);
}

/** @returns null when something is bad input: it was said, and the exit status is set */
export async function sizingRequest(options: SizeOptions): Promise<SizingRequest | null> {
  const recording = options.recording ?? null;
  const asked = whatIsAsked(recording, options);
  const hand = handTestOf(options);
  const beyond = asked.ok
    ? (hand.given?.rises ?? []).flatMap((rise) => riseBeyond(rise, asked.siteFile.site) ?? [])
    : [];
  const rainColumns =
    options.rainMap === undefined ? { ok: true as const, columns: {} } : parseColumnMap(options.rainMap);
  const problems = [
    ...(asked.ok ? [] : asked.problems),
    ...hand.problems,
    ...beyond.map((problem) => `--rise: ${problem}`),
    ...twoFiles(options),
    ...(rainColumns.ok ? [] : [`--rain-map: ${rainColumns.problem}`]),
    ...reportFileProblems(options, { recording, site: options.site }),
  ];
  if (!asked.ok || !rainColumns.ok || problems.length > 0) {
    refuse(problems);
    return null;
  }
  const { site } = asked.siteFile;
  const logged = options.recording === undefined ? null : await recordOf(options.recording, asked);
  if (logged === undefined) return null;
  if (logged === null || options.rain === undefined) return { site, logged, hand: hand.given };
  const rain = await rainOf(options.rain, { ...asked, columns: rainColumns.columns });
  return rain === undefined ? null : { site, logged: { ...logged, rain }, hand: hand.given };
}

function twoFiles({ recording, rain, rainMap, json, site }: SizeOptions): string[] {
  if (rain === undefined && rainMap !== undefined) return ["--rain-map: expected --rain beside it, found none"];
  if (rain === undefined) return [];
  if (recording === undefined) return ["--rain: expected --recording beside it, found none"];
  if (rain === "-") return ['--rain: expected a file, found "-"'];
  const path = json === undefined ? null : reportPathProblem(json, { recording: rain, site });
  return path === null ? [] : [`--json: ${path}`];
}

/** Undefined when it is bad input. */
async function recordOf(recording: string, asked: Asked): Promise<LoggedRecord | undefined> {
  const record = collectRecord(asked.siteFile.site);
  const result = await readForAnalysis(recording, asked, record);
  return result === null ? undefined : record.finish();
}

interface HandTestAsked {
  readonly given: HandTestGiven | null;
  readonly problems: readonly string[];
}

function handTestOf({ rise, ruler, watch, within }: SizeOptions): HandTestAsked {
  const problems: string[] = [];
  const reading = <T>(option: string, read: () => T): T | null => {
    try {
      return read();
    } catch (error) {
      if (!(error instanceof QuantityError)) throw error;
      problems.push(`${option}: ${error.message}`);
      return null;
    }
  };
  const positive = (option: string, text: string | undefined, dimension: Dimension) =>
    text === undefined
      ? null
      : reading(option, () => {
          const value = parseQuantity(text, dimension);
          if (!(value > 0)) throw new QuantityError(`expected more than 0, found ${text}`);
          return value;
        });
  const rises = (rise ?? []).flatMap((text) => reading("--rise", () => parseRise(text)) ?? []);
  // Anywhere within the half-width is as likely as anywhere else: over √3, JCGM 100:2008, 4.3.7.
  const rulerHalf_m = positive("--ruler", ruler, "length");
  const watchHalf_s = positive("--watch", watch, "duration");
  const wanted = positive("--within", within, "share");
  if (rise === undefined && (ruler ?? watch ?? within) !== undefined) {
    problems.push("--ruler, --watch and --within: expected --rise beside them, found none");
  }
  const given: HandTestGiven = {
    rises,
    uRuler_m: rulerHalf_m === null ? usualRuler_m : rulerHalf_m / Math.sqrt(3),
    uWatch_s: watchHalf_s === null ? usualWatch_s : watchHalf_s / Math.sqrt(3),
    wanted: wanted ?? usuallyWanted,
  };
  return { given: rises.length === 0 ? null : given, problems };
}
