// What a site file means, in words: what the basin holds, what the pump can do there, what can be said with what is
// given, and what one more key would add.

import type { InflowMethod } from "../../analysis/cycles/cycle.ts";
import { basinGeometry } from "../../analysis/geometry/basin.ts";
import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import type { BasinShape, BasinSite, MeasuredVolume, PumpSite, Site } from "../../analysis/site.ts";
import { normalQuantile } from "../../analysis/statistics/normal-quantile.ts";
import { sharedErrors } from "../../analysis/uncertainty/shared-errors.ts";
import { describeAlarms } from "./describe-alarms.ts";
import { describeDischarge } from "./describe-discharge.ts";
import { durationInWords } from "./duration-in-words.ts";
import { inWords, type UnitWords } from "./in-words.ts";
import type { SiteFile } from "./site-file.ts";
import { whatCanBeSaid, whatIsMissing, whatLooksOdd } from "./what-can-be-said.ts";

/** A heading and the sentences under it. */
export interface Paragraph {
  readonly heading: string;
  readonly lines: readonly string[];
}

export function describeSite(file: SiteFile): Paragraph[] {
  const { site } = file;
  const words = inWords(site.displayUnits);
  return [
    { heading: "Basin", lines: describeBasin(site.basin, words) },
    ...describePumps(site, words),
    { heading: "Discharge", lines: describeDischarge(site, words) },
    { heading: "To hold", lines: describeDemands(site, words) },
    { heading: "How sure", lines: describeHowSure(site) },
    { heading: "At work", lines: describeWork(file) },
    { heading: "Who is told", lines: describeAlarms(file) },
    { heading: "What can be said", lines: whatCanBeSaid(file) },
    { heading: "To say more, give", lines: whatIsMissing(file) },
    { heading: "Look at again", lines: whatLooksOdd(file) },
  ].filter(({ lines }) => lines.length > 0);
}

function describeBasin(basin: BasinSite, words: UnitWords): string[] {
  const { volume_m3, area_m2 } = basinGeometry(basin.geometry);
  const between = (low_m: number, high_m: number) => words.volume(volume_m3(high_m) - volume_m3(low_m));
  const { startLevel_m: start_m, stopLevel_m: stop_m, highLevel_m: high_m, overflowLevel_m: overflow_m } = basin;
  const lines = [describeShape(basin.geometry, words)];
  if (basin.geometry.shape !== "table") lines.push(`It holds ${words.volumePerHeight(area_m2(0))} of water.`);
  if (basin.depth_m !== null) lines.push(`It is ${words.level(basin.depth_m)} deep.`);
  if (start_m !== null) lines.push(`The pump starts at ${words.level(start_m)}.`);
  if (stop_m !== null) lines.push(`The pump stops at ${words.level(stop_m)}.`);
  if (start_m !== null && stop_m !== null) {
    lines.push(
      `Active volume, from start to stop: ${between(stop_m, start_m)}, ${words.level(start_m - stop_m)} of it.`,
    );
  }
  if (basin.activeVolume != null) lines.push(describeMeasured(basin.activeVolume, words));
  if (high_m !== null) lines.push(`High water is at ${words.level(high_m)}.`);
  if (start_m !== null && high_m !== null)
    lines.push(`Room from the start to high water: ${between(start_m, high_m)}.`);
  if (basin.inletLevel_m != null) lines.push(`Water comes in from ${words.level(basin.inletLevel_m)} up.`);
  if (overflow_m !== null) lines.push(`Water reaches the floor at ${words.level(overflow_m)}.`);
  if (high_m !== null && overflow_m !== null) {
    lines.push(`Room above high water: ${between(high_m, overflow_m)}, ${words.level(overflow_m - high_m)} of it.`);
  }
  return lines;
}

function describeMeasured({ volume_m3, uVolume_m3 }: MeasuredVolume, words: UnitWords): string {
  const within = uVolume_m3 === null ? "" : `, within ${words.volume(normalQuantile(0.975) * uVolume_m3)}`;
  return `Active volume as measured: ${words.volume(volume_m3)}${within}; it counts where no level is read.`;
}

function describeShape(shape: BasinShape, words: UnitWords): string {
  if (shape.shape === "table") return `Given as a table of ${shape.rows.length} levels and volumes.`;
  const size =
    shape.shape === "round"
      ? `Round, ${words.level(shape.diameter_m)} inside`
      : `Rectangular, ${words.level(shape.width_m)} by ${words.level(shape.length_m)} inside`;
  if (shape.occupiedArea_m2 === 0) return `${size}, with nothing taken off for pump and pipes.`;
  return `${size}, with ${words.area(shape.occupiedArea_m2)} taken up by pump and pipes.`;
}

function describeDemands({ design, backup }: Site, words: UnitWords): string[] {
  const lines: string[] = [];
  if (design.storm != null) {
    const { depth_m, duration_s, distribution } = design.storm;
    lines.push(
      `A storm of ${words.level(depth_m)} in ${durationInWords(duration_s)}, ${distribution}: what it brings in follows from a record with rain in it.`,
    );
  }
  if (backup == null) return lines;
  const { capacity_ah, volts, hold_s, depthOfDischarge } = backup;
  if (hold_s !== null) lines.push(`A power cut of ${durationInWords(hold_s)} in the worst weather that was logged.`);
  if (capacity_ah !== null) {
    const usable_wh = Math.round(capacity_ah * volts * depthOfDischarge);
    lines.push(
      `A battery of ${capacity_ah} Ah at ${volts} V, ${Math.round(100 * depthOfDischarge)} % of it to be drawn: ${usable_wh} Wh at its rated pace, less at a larger current.`,
    );
  }
  return lines;
}

/** What basin and instruments, as stated, leave of every figure at the best; what scatters comes on top. */
function describeHowSure(site: Site): string[] {
  const geometry = basinGeometry(site.basin.geometry);
  const percent = (method: InflowMethod) => {
    const shared = sharedErrors(site, geometry, method, { low_m: null, high_m: null });
    return 100 * normalQuantile(0.975) * Math.hypot(shared.geometry, shared.calibration);
  };
  const by: readonly (readonly [string, InflowMethod])[] = [
    ["By a measured level", "fill-slope"],
    ["By the floats alone", "active-volume"],
  ];
  return by.flatMap(([words, method]) => {
    const known = Number(percent(method).toPrecision(2));
    return known > 0 ? [`${words}, every flow and volume is known to ± ${known} % at the best.`] : [];
  });
}

function describePumps({ pump, pumps }: Site, words: UnitWords): Paragraph[] {
  if (pumps === undefined) return [{ heading: "Pump", lines: describePump(pump, words) }];
  return pumps.map((each, index) => ({
    heading: `Pump ${index + 1}, ${index === 0 ? "on duty" : "standby"}${each.name == null ? "" : `: ${each.name}`}`,
    lines: [...describePump(each, words), ...describeFloat(each, words)],
  }));
}

function describeFloat({ startLevel_m = null, stopLevel_m = null }: PumpSite, words: UnitWords): string[] {
  const lines: string[] = [];
  if (startLevel_m !== null) lines.push(`Its own float starts it at ${words.level(startLevel_m)}.`);
  if (stopLevel_m !== null) lines.push(`Its own float stops it at ${words.level(stopLevel_m)}.`);
  return lines.length === 0 ? ["It starts and stops at the basin's levels."] : lines;
}

function describePump(pump: PumpSite | null, words: UnitWords): string[] {
  if (pump === null) return [];
  const lines: string[] = [];
  if (pump.curve !== null) {
    const { shutOffHead_m, maximumFlow_m3s } = pumpCurve(pump.curve);
    const shutOff = shutOffHead_m === null ? "" : `, against no more than ${words.head(shutOffHead_m)}`;
    lines.push(`Its curve goes up to ${words.flow(maximumFlow_m3s)}${shutOff}.`);
  }
  if (pump.maxStartsPerHour !== null) lines.push(`It may start ${pump.maxStartsPerHour} times in an hour.`);
  if (pump.minRun_s !== null) lines.push(`A run of less than ${pump.minRun_s} s does it no good.`);
  return lines;
}

function describeWork({ site, sources, store, server, publish, forward }: SiteFile): string[] {
  const named = sources.map(({ name, kind }) => `${name} (${kind})`).join(", ");
  const lines = [
    sources.length === 0 ? "No sources: there is nothing for `undercroft run` to read." : `Sources: ${named}.`,
    `Readings are kept in ${store.path}.`,
    `The page is at ${server.tls === undefined ? "http" : "https"}://${server.host.includes(":") ? `[${server.host}]` : server.host}:${server.port}/.`,
    `Times are shown in ${site.timezone}.`,
  ];
  if (publish.mqtt !== null)
    lines.push(`It publishes under ${publish.mqtt.topic_prefix} at ${broker(publish.mqtt.url)}.`);
  if (forward !== null)
    lines.push(`Its record also goes into ${forward.database} at ${broker(forward.url)}, as ${forward.basin}.`);
  return lines;
}

/** An address without a password that may stand in it. */
function broker(url: string): string {
  const { protocol, host } = new URL(url);
  return `${protocol}//${host}`;
}
