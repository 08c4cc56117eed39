// The site file as one strict schema: types, defaults, checks and the reference table all come from here.
// What it accepts is still keyed as in the file, with quantities in SI; to-site-file.ts gives it its final shape.

import * as z from "zod";
import { isSameLine, lineAt, lineProblem } from "../alarms/channels/annunciator/line-at.ts";
import type { ChannelKind } from "../alarms/channels/channel.ts";
import { channelKinds } from "../alarms/channels/index.ts";
import type { LineAddress } from "../sources/gpio/find-line.ts";
import type { SourceKind } from "../sources/source.ts";
import { at, bothLengths, evenIfIncomplete, has, lengthAt, numberAt, report } from "./cross-check.ts";
import { alarmsSchema } from "./sections/alarms.ts";
import { backupSchema } from "./sections/backup.ts";
import { basinSchema, hasKnownShape } from "./sections/basin.ts";
import { designSchema } from "./sections/design.ts";
import { dischargeSchema } from "./sections/discharge.ts";
import { forwardSchema } from "./sections/forward.ts";
import { measurementSchema } from "./sections/measurement.ts";
import { publishSchema } from "./sections/publish.ts";
import { checkPumps, pumpSchema, pumpsSchema } from "./sections/pump.ts";
import { recordingSchema } from "./sections/recording.ts";
import { sourcesSchema } from "./sections/sources.ts";
import { storeSchema } from "./sections/store.ts";
import { timeZone } from "./time-zone.ts";
import { tlsKeys } from "./tls-keys.ts";

const site = z.strictObject({
  name: z
    .string()
    .trim()
    .min(1)
    .max(100)
    .regex(/^\P{Cc}*$/u, "expected a name on one line")
    .default("Unnamed site")
    .describe("what the page and the messages call it"),
  timezone: timeZone.default("UTC").describe("IANA name; the times that people read are in it"),
  display_units: z.enum(["us", "metric"]).default("metric").describe("the units that people read"),
});

const server = z.strictObject({
  host: z.string().min(1).default("127.0.0.1").describe("address to listen on; `0.0.0.0` lets others in"),
  port: z.int().min(0).max(65_535).default(8047).describe("port of the page; 0 takes any that is free"),
  tls: tlsKeys.optional().describe("for `https://`: phones can then be told, and nobody on the way reads along"),
});

/**
 * @param kinds    the kinds of source that `sources` may name
 * @param channels the kinds of channel that `alarms.channels` may name
 * @param given    what will be checked, where that is known: optional groups that it leaves out are not built
 */
export function siteFileSchema(
  kinds: readonly SourceKind[],
  channels: readonly ChannelKind[] = channelKinds,
  given?: unknown,
) {
  const ifGiven = <S extends z.ZodType>(group: string, schema: () => S) =>
    (given === undefined || has(given, group) ? schema() : z.never()).optional() as z.ZodOptional<S>;
  const siteFile = z.strictObject({
    site: site.prefault({}),
    basin: basinSchema,
    pump: pumpSchema.optional(),
    pumps: pumpsSchema.optional(),
    discharge: dischargeSchema.optional(),
    measurement: ifGiven("measurement", measurementSchema),
    design: designSchema.prefault({}),
    backup: ifGiven("backup", backupSchema),
    sources: sourcesSchema(kinds),
    store: ifGiven("store", storeSchema),
    server: server.prefault({}),
    publish: ifGiven("publish", publishSchema),
    alarms: alarmsSchema(channels).prefault({}),
    forward: ifGiven("forward", forwardSchema),
    recording: recordingSchema.prefault({}),
  });
  return siteFile
    .superRefine(checkHighPoint, evenIfIncomplete)
    .superRefine(checkPumps, evenIfIncomplete)
    .superRefine(checkLines, evenIfIncomplete)
    .superRefine(checkAnnunciators, evenIfIncomplete);
}

/** A contact says one thing: a line that two sources read was mistaken in one of them. */
function checkLines(siteFile: unknown, context: z.core.$RefinementCtx): void {
  const sources = Array.from({ length: lengthAt(siteFile, "sources") }, (_, i) => at(siteFile, "sources", i));
  const lines = sources.map((source) => (isWithLine(source) ? source : null));
  for (const [index, line] of lines.entries()) {
    const first = line === null ? -1 : lines.findIndex((other) => other !== null && isSameLine(other, line));
    if (line === null || first === index) continue;
    const key = line.line === undefined ? "offset" : "line";
    const name = JSON.stringify(at(sources[first], "name"));
    report(context, ["sources", index, key], `expected a line of its own, found that of the source ${name}`);
  }
}

function isWithLine(source: unknown): source is LineAddress {
  const isGiven = typeof at(source, "line") === "number" || typeof at(source, "offset") === "number";
  return at(source, "kind") === "gpio" && isGiven;
}

/** A sounder's line is no float's: driven, it could harm the board, and nothing would be measured. */
function checkAnnunciators(siteFile: unknown, context: z.core.$RefinementCtx): void {
  const listed = (...path: readonly PropertyKey[]) =>
    Array.from({ length: lengthAt(siteFile, ...path) }, (_, i) => at(siteFile, ...path, i));
  const horns = listed("alarms", "channels").filter((channel) => at(channel, "kind") === "annunciator");
  const floats = listed("sources").filter((source) => at(source, "kind") === "gpio");
  for (let c = 0; c < lengthAt(siteFile, "alarms", "contacts"); c++) {
    for (let r = 0; r < lengthAt(siteFile, "alarms", "contacts", c, "reach"); r++) {
      const path = ["alarms", "contacts", c, "reach", r];
      const to = at(siteFile, ...path, "to");
      const isHorn = horns.some((horn) => at(horn, "name") === at(siteFile, ...path, "by"));
      if (!isHorn || typeof to !== "string" || lineProblem(to) !== null) continue;
      const float = floats.find((source) => isSameLine(lineAt(to), source as LineAddress));
      if (float === undefined) continue;
      const expected = "expected a line that no source uses";
      report(context, [...path, "to"], `${expected}, found that of the source ${JSON.stringify(at(float, "name"))}`);
    }
  }
}

function checkHighPoint(siteFile: unknown, context: z.core.$RefinementCtx): void {
  const basin = at(siteFile, "basin");
  const highPoint_m = numberAt(siteFile, "discharge", "high_point");
  if (highPoint_m === null || !hasKnownShape(basin)) return;
  for (const key of ["start_level", "stop_level"]) {
    const level_m = numberAt(basin, key);
    if (level_m === null || highPoint_m > level_m) continue;
    const above = `basin.${key}, ${bothLengths(level_m)}`;
    report(context, ["discharge", "high_point"], `expected more than ${above}, found ${bothLengths(highPoint_m)}`);
    return;
  }
}

export type SiteFileKeys = z.output<ReturnType<typeof siteFileSchema>>;
