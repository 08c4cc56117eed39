// What stands in a real database under a basin's name, as the record that it was made of; and what the card has.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { DatabaseConnection } from "../../daemon/stores/influx/connection.ts";
import {
  cycleIn,
  findingIn,
  inflowIn,
  type LevelSum,
  levelSumIn,
  readingIn,
} from "../../daemon/stores/influx/points.ts";
import { type DatabaseUser, setUpDatabase } from "../../daemon/stores/influx/set-up-database.ts";
import type { Store } from "../../daemon/stores/store.ts";
import { joinInflow } from "../../daemon/stores/thin-inflow.ts";
import type { Influxd } from "./influxd.ts";

export interface Contents {
  readonly readings: readonly Reading[];
  readonly cycles: readonly Cycle[];
  readonly findings: readonly Finding[];
  readonly inflow: readonly InflowStretch[];
  /** By ten minutes, the last that is not over left out: it is written anew until it is. */
  readonly joined: readonly InflowStretch[];
  readonly tenMinutes: readonly LevelSum[];
}

/** As `undercroft store set-up-database` does it. */
export async function setUp({ url }: Influxd, users: readonly DatabaseUser[] = [], as: Account = {}): Promise<void> {
  const connection = { url, database: "undercroft", timeout: 30, ...as };
  await setUpDatabase(connection, "/", { keepReadings_s: 400 * 86_400, users });
}

type Account = Partial<Pick<DatabaseConnection, "username" | "password_file" | "tls">>;

export async function inDatabase(server: Influxd, basin: string): Promise<Contents> {
  const rows = async (policy: string, measurement: string) => {
    const text = `SELECT * FROM "${policy}"."${measurement}" WHERE basin = '${basin}'`;
    const [series] = (await server.query(text, "undercroft")).results[0]?.series ?? [];
    return (series?.values ?? []).map((row) =>
      Object.fromEntries((series?.columns ?? []).map((name, i) => [name, row[i]])),
    );
  };
  const known = <T>(found: readonly (T | null)[]) => found.filter((one) => one !== null);
  const readings = (await rows("raw", "reading")).map(readingIn);
  return {
    readings,
    cycles: known((await rows("forever", "cycle")).map(cycleIn)),
    findings: byKind(known((await rows("forever", "finding")).map(findingIn))),
    inflow: known((await rows("raw", "inflow")).map(inflowIn)),
    joined: over(known((await rows("forever", "inflow_10m")).map(inflowIn)), readings),
    tenMinutes: over(
      (await rows("forever", "level_10m")).map((row) => levelSumIn(row, part_s)),
      readings,
    ),
  };
}

export function onCard(store: Store): Contents {
  const always = { from_s: 0, to_s: 1e10 };
  const readings = [...store.readings()];
  const inflow = store.inflow(always, 1e9);
  return {
    readings,
    cycles: store.cycles(always, 1e6).toReversed(),
    findings: byKind(store.findings(always, 1e6)),
    inflow,
    joined: over(joinInflow(inflow, 0, part_s), readings),
    tenMinutes: over(summedUp(readings), readings),
  };
}

function byKind(findings: readonly Finding[]): Finding[] {
  return findings.toSorted((a, b) => a.from_s - b.from_s || a.kind.localeCompare(b.kind));
}

const part_s = 600;

function over<T extends { readonly from_s: number }>(parts: readonly T[], readings: readonly Reading[]): T[] {
  const now_s = readings.at(-1)?.time_s ?? 0;
  return parts.filter(({ from_s }) => Math.floor(from_s / part_s) < Math.floor(now_s / part_s));
}

/** Put plainly, in no order but that of the readings. */
function summedUp(readings: readonly Reading[]): LevelSum[] {
  const parts = Map.groupBy(
    readings.filter(({ level_m }) => level_m !== null),
    ({ time_s }) => Math.floor(time_s / part_s),
  );
  return [...parts].map(([part, its]) => {
    const levels_nm = its.map(({ level_m }) => Math.round((level_m ?? 0) * 1e9));
    return {
      ...{ from_s: part * part_s, length_s: part_s, levels: levels_nm.length },
      ...{ minimum_nm: Math.min(...levels_nm), maximum_nm: Math.max(...levels_nm) },
      sum_nm: levels_nm.reduce((sum, level_nm) => sum + level_nm, 0),
    };
  });
}
