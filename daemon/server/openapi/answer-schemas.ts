// What the API answers, as zod schemas for its description and for the tests that hold the answers against it. Each one
// is checked by the compiler against the type that the routes and the page share.

import * as z from "zod";
import { findingKinds } from "../../../analysis/findings/finding.ts";
import { otherSources, uncertaintySources } from "../../../analysis/uncertainty/parts.ts";
import type {
  ApiError,
  CyclesAnswer,
  FindingsAnswer,
  InflowAnswer,
  LevelAnswer,
  LiveState,
  SpeedRequest,
} from "../api-types.ts";
import { activeAlarm, alarmAside, alarmDeed, alarmTrouble } from "./alarms-schemas.ts";
import { number, time_s } from "./schema-parts.ts";

const yesOrNo = z.boolean().nullable();

const flow = z.strictObject({
  flow_m3s: z.number(),
  uFlow_m3s: z.number().describe("standard uncertainty (GUM)"),
  degreesOfFreedom: z.number().describe("1e9 stands for infinitely many"),
  parts: z
    .partialRecord(z.enum(otherSources), z.number())
    .exactOptional()
    .describe("what of uFlow_m3s is not the sensor's noise, source by source; absent when all of it is"),
});

const method = z.enum(["fill-slope", "active-volume"]);

const load = z
  .strictObject({ mean: z.number(), standardDeviation: number.describe("of the readings; null of one") })
  .nullable()
  .exactOptional();

export const cycle = z.strictObject({
  startedAt_s: time_s,
  stoppedAt_s: time_s,
  run_s: z.number(),
  rest_s: number.describe("from the stop before"),
  startLevel_m: number,
  stopLevel_m: number,
  inflow: flow.extend({ method }).nullable(),
  pumpRate: flow.nullable().describe("mean flow through the pump, inflow included"),
  drainBack_m3: number.describe("returned through the check valve after the stop"),
  pumps: z
    .strictObject({
      pump1_s: z.number(),
      pump2_s: z.number(),
      both_s: z.number(),
      rateOf: z
        .union([z.literal(1), z.literal(2), z.literal("both")])
        .nullable()
        .describe("whose flow `pumpRate` is: the pumps that ran together for the longest part of the run"),
    })
    .nullable()
    .exactOptional()
    .describe("how long each of two pumps ran, time with both included; absent with one"),
  runningCurrent: load.describe("in A, over the run without its first second; absent when not read"),
  runningPower: load.describe("in W, likewise"),
});

export const finding = z.strictObject({
  kind: z.enum(findingKinds),
  severity: z.enum(["info", "warning", "critical"]),
  from_s: time_s,
  to_s: number.describe("null while it lasts"),
  evidence: z.record(z.string(), z.union([z.number(), z.string(), z.boolean(), z.null()])),
  message: z.string().describe("what to do about it"),
});

const situation = z.strictObject({
  time_s: number.describe("time of the newest reading"),
  level_m: number,
  pumpRunning: yesOrNo,
  pumpsRunning: z
    .tuple([yesOrNo, yesOrNo])
    .readonly()
    .nullable()
    .exactOptional()
    .describe("which of two pumps run; absent with one. `pumpRunning` is of either"),
  pumpSince_s: number,
  floatOn: yesOrNo,
  highFloat: yesOrNo,
  mainsOn: yesOrNo,
  inflow: flow.extend({ method: method.optional() }).nullable(),
  pumpRate: flow.nullable(),
  levelRate_ms: number,
  startsInLastHour: z.int(),
  openFindings: z.array(finding),
  ceasing: z
    .array(z.strictObject({ kind: z.enum(findingKinds), from_s: z.number(), since_s: z.number() }))
    .exactOptional()
    .describe("those of them whose condition has not held since then: over soon, unless it holds again"),
});

const sourceHealth = z.strictObject({
  name: z.string(),
  kind: z.string(),
  state: z.enum(["starting", "running", "waiting-to-retry", "finished"]),
  since_s: time_s,
  lastReading_s: number,
  accepted: z.int(),
  rejected: z.int(),
  lastRejection: z.string().nullable(),
  error: z.string().nullable(),
  retryAt_s: number,
});

const storeHealth = z.strictObject({
  state: z.enum(["writing", "holding"]),
  held: z.int(),
  lost: z.int(),
  error: z.string().nullable(),
  since_s: number,
});

export const liveState = z.strictObject({
  situation,
  sources: z.array(sourceHealth),
  store: storeHealth,
  now_s: time_s,
  speed: number.describe("seconds of the basin's time that pass in one; null for a real basin"),
  maxSpeed: number,
  span: z.strictObject({ from_s: time_s, to_s: time_s }).nullable(),
  wallStep_s: z.number(),
  publisher: z
    .strictObject({ error: z.string().nullable() })
    .nullable()
    .describe("what is told to a broker: why nothing gets through, null while all is well"),
  alarms: z
    .array(activeAlarm)
    .nullable()
    .exactOptional()
    .describe("active, or not acknowledged yet; null where nobody is called"),
  takesAnswers: z
    .boolean()
    .exactOptional()
    .describe("of a basin that is looked at from afar: whether its board takes answers to alarms from there"),
  aside: z.array(alarmAside).exactOptional().describe("what is shelved or out of service: nobody is told of it"),
  fromAfar: z
    .strictObject({
      takesShelving: z.boolean(),
      done: z.array(alarmDeed),
      notTaken: z.array(z.string()).describe("what was asked of its board in vain, and why"),
    })
    .exactOptional()
    .describe("of a basin that is looked at from afar: who did what, whether its board takes shelving"),
  alarmNews: z
    .int()
    .nullable()
    .exactOptional()
    .describe("counts what has changed of alarms and messages since the start"),
  alarmTrouble: alarmTrouble
    .nullable()
    .exactOptional()
    .describe("what keeps alarms from reaching people; null where nobody is called"),
  forward: z
    .strictObject({
      basin: z.string().describe("name of this basin in the shared database"),
      state: z.enum(["current", "sending", "waiting", "refused"]),
      waiting: z.int().describe("readings that are not there yet"),
      oldest_s: number.describe("nothing that is not there yet began earlier; null when all is there"),
      lastSuccess_s: number,
      error: z.string().nullable().describe("why nothing gets through; null while something does"),
      retryAt_s: number,
      notes: z.array(z.string()),
    })
    .nullable()
    .exactOptional()
    .describe("how far the record has been forwarded to a shared database; null when it is not"),
}) satisfies z.ZodType<LiveState>;

export const siteInfo = z.strictObject({
  site: z.looseObject({ name: z.string(), timezone: z.string(), displayUnits: z.enum(["us", "metric"]) }),
  invented: z.boolean().describe("the readings are not of a real basin"),
  playing: z.enum(["simulated", "replay"]).nullable(),
  version: z.string(),
});

const column = z.array(z.number());

export const levelAnswer = z.strictObject({
  bucket_s: z.number().describe("0: each entry is one reading"),
  time_s: column,
  minimum_m: column,
  maximum_m: column,
  mean_m: column,
}) satisfies z.ZodType<LevelAnswer>;

export const cyclesAnswer = z.strictObject({ cycles: z.array(cycle) }) satisfies z.ZodType<CyclesAnswer>;
const budget = z
  .strictObject({
    value: z.number().describe("m³/s, as every u below"),
    u: z.number().describe("combined standard uncertainty"),
    degreesOfFreedom: z.number().describe("1e9 stands for infinitely many"),
    coverageFactor: number.describe("from u to u95; null where nothing covers 95 %"),
    u95: number.describe("half-width of the interval that covers the true value with 95 % probability"),
    lines: z.array(
      z.strictObject({
        source: z.enum(uncertaintySources),
        type: z.enum(["A", "B"]).describe("A: from the scatter of the readings; B: stated or assumed (GUM 4.2, 4.3)"),
        u: z.number().describe("what it adds, times its sensitivity"),
        degreesOfFreedom: z.number(),
        u95: number,
        shared: z.boolean().describe("the same error in every cycle: it does not average away"),
      }),
    ),
  })
  .nullable();

export const budgetAnswer = z.strictObject({ inflow: budget, pumpRate: budget });

export const findingsAnswer = z.strictObject({ findings: z.array(finding) }) satisfies z.ZodType<FindingsAnswer>;

const stretches = z.array(
  z.strictObject({ from_s: time_s, to_s: time_s, inflow_m3s: z.number(), uInflow_m3s: z.number() }),
);

export const inflowAnswer = z.strictObject({ stretches }) satisfies z.ZodType<InflowAnswer>;

export const speedAnswer = z.strictObject({ speed: z.number() }) satisfies z.ZodType<SpeedRequest>;

export const summary = z.looseObject({ schema: z.literal("undercroft-report/1"), sizing: z.looseObject({}) });

export const sizingInputs = z.strictObject({
  summary,
  inflow: stretches,
  cycles: z.array(cycle).describe("the last ones, oldest first"),
});

export const rainAnswer = z.strictObject({
  stretches: z
    .array(z.strictObject({ from_s: time_s, to_s: time_s, rain_m: z.number() }))
    .nullable()
    .describe("oldest first; null: no reading ever had rain, not even 0"),
});

export const report = z.looseObject({ schema: z.literal("undercroft-report/1"), cycles: z.array(z.looseObject({})) });

export const apiError = z.strictObject({
  error: z.string().describe("one line: the field, what was found and what is expected"),
}) satisfies z.ZodType<ApiError>;
