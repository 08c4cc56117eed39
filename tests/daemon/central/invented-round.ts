// Basins of our invention, as many as wanted, of which a few are in trouble: always the same ones.

import type { AlarmName } from "../../../analysis/alarms/alarm.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import type { Finding, FindingKind, Severity } from "../../../analysis/findings/finding.ts";
import { rules } from "../../../analysis/findings/index.ts";
import type { View } from "../../../analysis/findings/rule.ts";
import type { EnrolledBasin } from "../../../daemon/central/config/central-file.ts";
import type { ActiveAlarm } from "../../../daemon/server/alarms-types.ts";
import { type Round, type RoundOptions, startRound } from "./round.ts";

const streets = ["Elm Street", "Mill Lane", "Station Road", "Orchard Way", "River Walk", "Chapel Row"];
const groups = ["North bank", "South bank", "Old town"];
const places = [
  "cellar, door on the left",
  "boiler room",
  "under the stairs",
  "garage",
  "crawl space, hatch in the hall",
];
const customers = new Map([
  ["lakeside", "Lakeside Homes"],
  ["north-side", "North Side Housing"],
  ["old-town", "Old Town Rentals"],
]);

export function inventBasins(count: number, now_s: number): EnrolledBasin[] {
  return Array.from({ length: count }, (_, index) => {
    const street = streets[index % streets.length] ?? "";
    const number = 1 + Math.floor(index / streets.length);
    const title = `${number} ${street}`;
    return {
      name: title.toLowerCase().replaceAll(" ", "-"),
      title,
      group: groups[index % groups.length] ?? null,
      place: places[index % places.length] ?? null,
      customer: [...customers.keys()][index % customers.size] ?? null,
      contact: index % 4 === 0 ? "caretaker, ring twice; the cellar key hangs in the hall" : null,
      serviceDue_s: now_s + 86_400 * (((index * 37) % 365) - 4),
      silentAfter_s: 300,
    };
  });
}

/** Trouble in about one of forty: which, and for how long. */
const troubles: readonly (readonly [FindingKind, Severity, number])[] = [
  ["high-water", "critical", 260],
  ["short-cycling", "warning", 8 * 3600],
  ["pump-worn", "warning", 11 * 86_400],
  ["inflow-exceeds-pump", "critical", 95],
  ["check-valve-leak", "warning", 3 * 86_400],
  ["power-lost", "critical", 1500],
  ["sensor-fault", "warning", 5400],
];

export async function inventRound(count: number, options: RoundOptions = {}): Promise<Round> {
  const now_s = Date.now() / 1000;
  const basins = inventBasins(count, now_s);
  const round = await startRound({ name: "Riverside round", basins, customers, ...options });
  for (const [index, { name }] of basins.entries()) {
    if (index % 53 === 17) {
      round.tell(name, "status", "offline", true);
      round.say(name, { time_s: now_s - 5400 }, { kept: true });
      continue;
    }
    const trouble = index % 41 === 6 ? troubles[Math.floor(index / 41) % troubles.length] : undefined;
    const openFindings = trouble === undefined ? [] : [findingOf(trouble, now_s)];
    const level_m = trouble?.[0] === "high-water" ? 0.53 : 0.16 + ((index * 7919) % 190) / 1000;
    const pumpRunning = trouble === undefined ? index % 9 === 0 : trouble[0] !== "power-lost";
    round.say(name, { level_m, pumpRunning, openFindings });
    const called = trouble && alarmOf(trouble, now_s);
    if (called) round.tell(name, "alarms", JSON.stringify({ alarms: [called], acknowledge: true }), true);
  }
  return round;
}

/** What its board calls people for, and who is seeing to it. */
const alarms: Partial<Record<FindingKind, readonly [AlarmName, seesToIt: string | null]>> = {
  "high-water": ["high-water", null],
  "inflow-exceeds-pump": ["pump-does-not-keep-up", "Anna"],
  "power-lost": ["supply-lost", null],
};

function alarmOf([kind, , for_s]: (typeof troubles)[number], now_s: number): ActiveAlarm | undefined {
  const [name, acknowledgedBy = null] = alarms[kind] ?? [];
  const definition = alarmTable.find((each) => each.name === name);
  if (definition === undefined) return undefined;
  const { title, priority, whatToDo } = definition;
  return {
    ...{ name: definition.name, title, priority, whatToDo, acknowledgedBy },
    ...{ state: acknowledgedBy === null ? "unacknowledged" : "acknowledged", to_s: null },
    from_s: now_s - for_s,
  };
}

function findingOf([kind, severity, for_s]: (typeof troubles)[number], now_s: number): Finding {
  return { kind, severity, from_s: now_s - for_s, to_s: null, evidence: {}, message: adviceOn(kind) };
}

/** In the rule's own words, as it says them of a basin of which it knows nothing more. */
function adviceOn(kind: FindingKind): string {
  const view = { pumpRunning: true, mainsOn: true, pumps: null, levelProblem: null } as unknown as View;
  return rules.find((rule) => rule.kind === kind)?.message(view, {}) ?? "";
}
