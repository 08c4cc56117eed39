// What a board publishes, as it comes in at the door: one schema for each topic, a typed value afterwards.

import * as z from "zod";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { type Finding, type FindingKind, findingKinds } from "../../analysis/findings/finding.ts";
import { type ReportSummary, reportSchema } from "../../analysis/report/report.ts";
import { journalKinds } from "../alarms/outbox/journal-entry.ts";
import type { ActiveAlarm, AlarmAside, AlarmDeed } from "../server/alarms-types.ts";
import type { BasinHealth, SiteInfo } from "../server/api-types.ts";

/** Of any kind: a newer board may know one that this program does not. */
export type ToldFinding = Omit<Finding, "kind"> & { readonly kind: string };

export interface ToldState {
  /** With findings of known kinds only, for the views of the board's page. */
  readonly situation: Situation;
  readonly findings: readonly ToldFinding[];
  readonly invented: boolean;
  /** Of one start of one board. */
  readonly run: string | null;
  /** The board's own clock when it said so; null: an older board does not tell. */
  readonly clock_s: number | null;
}

/** The alarms of a board, as it tells them. */
export interface ToldAlarms {
  readonly alarms: readonly ActiveAlarm[];
  /** Whether they can be answered by the broker, and shelved. */
  readonly acknowledge: boolean;
  readonly shelve: boolean;
  readonly aside: readonly AlarmAside[];
  readonly done: readonly AlarmDeed[];
  /** Days of the last service and of the next; null: the board knows of none. */
  readonly service: { readonly last: string; readonly due: string } | null;
}

/** Far more than a board says. */
export const largestMessage_bytes = 64_000;

const flow = z.looseObject({ flow_m3s: z.number(), uFlow_m3s: z.number(), degreesOfFreedom: z.number() }).nullable();
/** What a calendar has (ECMA-262, time values): of no other can be said how long it lasts. */
const farthest_s = 8.64e12;
const time = z.number().min(-farthest_s).max(farthest_s);
const word = z.string().regex(/^[a-z][a-z0-9-]{0,39}$/);
const yesOrNo = z.boolean().nullable();

const finding = z.object({
  kind: word,
  severity: z.enum(["info", "warning", "critical"]),
  from_s: time,
  to_s: time.nullable(),
  evidence: z.record(z.string(), z.union([z.number(), z.string().max(500), z.boolean(), z.null()])),
  message: z.string().max(2000),
});

const state = z.looseObject({
  time_s: time.nullable(),
  level_m: z.number().nullable(),
  pumpRunning: yesOrNo,
  pumpSince_s: time.nullable(),
  floatOn: yesOrNo,
  highFloat: yesOrNo,
  mainsOn: yesOrNo,
  inflow: flow,
  pumpRate: flow,
  levelRate_ms: z.number().nullable(),
  startsInLastHour: z.number(),
  openFindings: z.array(finding).max(50),
  invented: z.boolean().default(false),
  run: z.string().max(40).nullable().default(null),
  clock_s: time.nullable().catch(null),
});

const who = z.string().max(100).nullable();
const why = z.string().max(300).nullable();

const alarms = z.object({
  alarms: z
    .array(
      z.object({
        name: word,
        title: z.string().max(100),
        priority: z.enum(["high", "medium", "low"]),
        whatToDo: z.string().max(500),
        state: z.string().max(60),
        from_s: time,
        to_s: time.nullable(),
        acknowledgedBy: z.string().max(100).nullable(),
      }),
    )
    .max(50),
  acknowledge: z.boolean().default(false),
  // What a board of before, or one that says it otherwise, does not tell.
  shelve: z.boolean().catch(false),
  aside: z
    .array(
      z.object({
        name: word,
        title: z.string().max(100),
        until_s: time.nullable(),
        since_s: time.nullable(),
        by: who,
        reason: why,
      }),
    )
    .max(50)
    .catch([]),
  done: z
    .array(
      z.object({
        at_s: time,
        kind: z.enum([...journalKinds, "tested"]),
        alarm: word.nullable(),
        title: z.string().max(100).nullable(),
        by: who,
        via: z.string().max(300).nullable(),
        reason: why,
        until_s: time.nullable(),
        contact: who,
      }),
    )
    .max(50)
    .catch([]),
  service: z.object({ last: z.iso.date(), due: z.iso.date() }).nullable().catch(null),
});

const cycle = z.looseObject({
  startedAt_s: time,
  stoppedAt_s: time,
  run_s: z.number(),
  rest_s: z.number().nullable(),
  startLevel_m: z.number().nullable(),
  stopLevel_m: z.number().nullable(),
  inflow: flow,
  pumpRate: flow,
  drainBack_m3: z.number().nullable(),
});

/** Null: it is not what a board says. */
export function readState(payload: Buffer): ToldState | null {
  const told = read(payload, state);
  if (told === null) return null;
  const { invented, run, clock_s, openFindings, ...rest } = told;
  const situation = { ...rest, openFindings: openFindings.filter(isKnown) };
  return { situation, findings: openFindings, invented, run, clock_s };
}

export function readFinding(payload: Buffer): ToldFinding | null {
  return read(payload, finding);
}

export function readCycle(payload: Buffer): Cycle | null {
  const told = read(payload, cycle);
  return told === null ? null : (told as Cycle);
}

const site = z.looseObject({
  site: z.looseObject({
    name: z.string(),
    timezone: z.string(),
    displayUnits: z.enum(["us", "metric"]),
    basin: z.looseObject({ geometry: z.looseObject({ shape: z.enum(["round", "rectangular", "table"]) }) }),
    design: z.looseObject({ inflowFactor: z.number() }),
  }),
  invented: z.boolean(),
  playing: z.enum(["simulated", "replay"]).nullable(),
  version: z.string().max(40),
});

const health = z.looseObject({
  sources: z.array(z.looseObject({ name: z.string(), kind: z.string(), state: z.string() })).max(100),
  store: z.looseObject({ state: z.enum(["writing", "holding"]), held: z.number(), lost: z.number() }),
  wallStep_s: z.number(),
  span: z.object({ from_s: z.number(), to_s: z.number() }).nullable(),
});

/** Of an older or newer board's report the page could make nothing. */
const summary = z.looseObject({ schema: z.literal(reportSchema), span: z.looseObject({}), totals: z.looseObject({}) });

/** What is only asked for when someone looks at the basin: of one's own boards, and so looked at no closer than this. */
export const readAbout = {
  site: (payload: Buffer) => read(payload, site) as SiteInfo | null,
  health: (payload: Buffer) => read(payload, health) as BasinHealth | null,
  summary: (payload: Buffer) => read(payload, summary) as ReportSummary | null,
};

/** Those of a name that only a newer board knows too: they are shown, and answered at the board. */
export function readAlarms(payload: Buffer): ToldAlarms | null {
  return read(payload, alarms) as ToldAlarms | null;
}

const forwarding = z.looseObject({
  forward: z
    .looseObject({
      state: z.enum(["current", "sending", "waiting", "refused"]),
      oldest_s: time.nullable(),
      error: z.string().max(2000).nullable(),
    })
    .nullable()
    .default(null),
});

export type ToldForwarding = z.output<typeof forwarding>["forward"];

/** How its record gets through to the shared database, null where it forwards none; undefined: not what a board says. */
export function readForwarding(payload: Buffer): ToldForwarding | undefined {
  return read(payload, forwarding)?.forward;
}

/** Null: neither of the two words that a board says. */
export function readStatus(payload: Buffer): "online" | "offline" | null {
  const text = payload.toString("utf8", 0, 20);
  return text === "online" || text === "offline" ? text : null;
}

export function isKnown(finding: ToldFinding): finding is Finding {
  return findingKinds.includes(finding.kind as FindingKind);
}

function read<Schema extends z.ZodType>(payload: Buffer, schema: Schema): z.output<Schema> | null {
  if (payload.length > largestMessage_bytes) return null;
  try {
    return schema.safeParse(JSON.parse(payload.toString("utf8"))).data ?? null;
  } catch {
    return null; // no JSON
  }
}
