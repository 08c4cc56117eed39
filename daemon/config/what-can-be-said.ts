// What can be said about a basin with the keys that its site file gives, what one more key would add, and what looks
// odd although it is allowed.

import { basinGeometry } from "../../analysis/geometry/basin.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { at } from "./cross-check.ts";
import type { SiteFile } from "./site-file.ts";
import { unusualSizes } from "./unusual-sizes.ts";

export function whatCanBeSaid({ site: { basin, pump, pumps, discharge, design, backup } }: SiteFile): string[] {
  const active = basin.activeVolume != null || (basin.startLevel_m !== null && basin.stopLevel_m !== null);
  const lines = [
    "Inflow, and what the pump moves, from the slope of a measured level.",
    "Starts, run times and loss of supply, where those are measured.",
  ];
  if (active) lines.push("Inflow without a measured level, from the active volume over time.");
  if (basin.highLevel_m !== null) lines.push("High water, from a measured level.");
  if (basin.startLevel_m !== null) lines.push("A pump that does not start although the level calls for it.");
  if (basin.stopLevel_m !== null) lines.push("A pump that does not stop although the water is gone.");
  if (pump?.maxStartsPerHour != null || pump?.minRun_s != null)
    lines.push("Starts that are too many or runs too short.");
  if (pumps !== undefined)
    lines.push("What each of two pumps moves, how often it starts, and what is left when one fails.");
  if (discharge !== null) lines.push("The head that the discharge asks for, at any flow.");
  if (discharge !== null && pump?.curve != null) lines.push("Whether the pump is large enough before it was measured.");
  if (discharge !== null)
    lines.push("How big the pump must be: `undercroft size`, from a recording or a rise watched by hand.");
  if (basin.overflowLevel_m !== null) lines.push("How long it takes until water reaches the floor if the pump stops.");
  if (design.storm != null) lines.push("What the storm to hold would bring, once storms were logged with their rain.");
  if (backup != null) lines.push("What battery gets the house through a power cut, or how long the given one lasts.");
  return lines;
}

export function whatIsMissing({ site: { basin, pump, pumps, discharge } }: SiteFile): string[] {
  const withoutLevel = basin.activeVolume == null ? "; inflow without a measured level" : "";
  const one = pumps === undefined ? "pump" : "pumps[0]";
  const missing: readonly (readonly [boolean, string])[] = [
    [basin.startLevel_m === null, `basin.start_level: a pump that does not start${withoutLevel}`],
    [basin.stopLevel_m === null, `basin.stop_level: a pump that does not stop${withoutLevel}`],
    [basin.highLevel_m === null, "basin.high_level: high water without a float of its own"],
    [basin.overflowLevel_m === null, "basin.overflow_level: the room that is left above the water"],
    [pump?.maxStartsPerHour == null, `${one}.max_starts_per_hour: starts that are too many for the motor`],
    [pump?.minRun_s == null, `${one}.min_run: runs that are too short`],
    [pump?.curve == null, `${one}.curve: what the pump should move here, and whether it still does`],
    [discharge === null, `discharge: static head, friction and, with ${one}.curve, the duty point`],
  ];
  return missing.filter(([is]) => is).map(([, line]) => line);
}

export function whatLooksOdd({ site, server, alarms, sources }: SiteFile): string[] {
  const { basin } = site;
  const { geometry } = basin;
  const levels_m = [basin.startLevel_m, basin.highLevel_m, basin.overflowLevel_m];
  const highest_m = Math.max(...levels_m.map((level_m) => level_m ?? 0));
  const tableEnds_m = geometry.shape === "table" ? (geometry.rows.at(-1)?.level_m ?? 0) : Number.POSITIVE_INFINITY;
  const odd: readonly (readonly [boolean, string])[] = [
    [
      basin.inletLevel_m != null && (basin.startLevel_m ?? 0) > basin.inletLevel_m,
      "The pump starts only above the inlet: water stands in the drain pipe before it does.",
    ],
    [highest_m > tableEnds_m, "The table ends below the highest level given; its last stretch is taken to carry on."],
    [
      measuredFarOff(basin),
      "The measured active volume and the one by shape and levels are more than a tenth apart: one of them is wrong.",
    ],
    [!loopback.test(server.host), "The page is open to everyone who can reach this address, and asks for no password."],
    [
      alarms.channels.some(({ kind }) => kind === "web-push") &&
        server.tls === undefined &&
        alarms.pageAddress?.startsWith("https:") !== true,
      "Phones can be taken up only on a page under https: give server.tls, or the https address as alarms.page_address.",
    ],
  ];
  return [...unusualSizes(site), ...givenTwice(sources), ...odd.filter(([is]) => is).map(([, line]) => line)];
}

/** Readings of two sensors, mixed, are those of none. */
function givenTwice(sources: SiteFile["sources"]): string[] {
  const givenBy = Map.groupBy(
    sources.flatMap((source) => channelsOf(source).map((channel) => ({ channel, name: source.name }))),
    ({ channel }) => channel,
  );
  return [...givenBy].flatMap(([channel, givers]) =>
    givers.length === 1
      ? []
      : [
          `${givers.map(({ name }) => name).join(" and ")} ${givers.length === 2 ? "both" : "all"} give ${channel}: they are taken for one and the same sensor.`,
        ],
  );
}

function channelsOf(source: object): string[] {
  const [one, several] = [at(source, "channel"), at(source, "channels")];
  if (typeof one === "string") return [one];
  return typeof several === "object" && several !== null ? Object.keys(several) : [];
}

/** A tape measure and a bucket agree better than that; common practice, no source. */
const farOff = 0.1;

function measuredFarOff({ activeVolume, geometry, startLevel_m, stopLevel_m }: BasinSite): boolean {
  if (activeVolume == null || startLevel_m === null || stopLevel_m === null) return false;
  const { volume_m3 } = basinGeometry(geometry);
  const byShape_m3 = volume_m3(startLevel_m) - volume_m3(stopLevel_m);
  return Math.abs(activeVolume.volume_m3 / byShape_m3 - 1) > farOff;
}

const loopback = /^(localhost|127\.\d+\.\d+\.\d+|::1)$/;
