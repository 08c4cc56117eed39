// Brings what a test tells into a real database, as a board does that sends all at once and is never in trouble.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import { lineOf } from "../../daemon/stores/exchange/line-protocol.ts";
import type { DatabaseConnection } from "../../daemon/stores/influx/connection.ts";
import { type DatabaseLink, linkToDatabase } from "../../daemon/stores/influx/database-link.ts";
import {
  cyclePoint,
  findingPoint,
  inflowPoint,
  joinedInflowPoint,
  levelSumPoint,
  levelSums,
  type Point,
  readingEncoder,
} from "../../daemon/stores/influx/points.ts";
import { joinInflow } from "../../daemon/stores/thin-inflow.ts";
import type { Told } from "../contracts/record-suite.ts";
import type { Influxd } from "./influxd.ts";

export const connectionTo = ({ url }: Pick<Influxd, "url">): DatabaseConnection => ({
  url,
  database: "undercroft",
  timeout: 30,
});

export function linkTo(server: Pick<Influxd, "url">): Promise<DatabaseLink> {
  return linkToDatabase(connectionTo(server), "/");
}

/** Without a limit of age: tests have days of their own. */
export async function makeDatabase(server: Influxd): Promise<void> {
  await server.query("CREATE DATABASE undercroft");
  await server.query("CREATE RETENTION POLICY raw ON undercroft DURATION INF REPLICATION 1 SHARD DURATION 4w DEFAULT");
  await server.query("CREATE RETENTION POLICY forever ON undercroft DURATION INF REPLICATION 1 SHARD DURATION 52w");
}

/** As a board that sends all at once, each time from where it was. */
export function tellBasin(server: Pick<Influxd, "url">, basin: string): (told: Told) => Promise<void> {
  const encoder = readingEncoder(basin);
  const sums = levelSums();
  const stretches = new Map<number, InflowStretch>();
  return async ({ readings = [], cycles = [], findings = [], inflow = [] }) => {
    const points: Point[] = [];
    for (const reading of readings) {
      points.push(encoder.point(reading));
      for (const sum of sums.add(reading)) points.push(levelSumPoint(basin, sum));
    }
    for (const cycle of cycles) points.push(cyclePoint(basin, cycle));
    for (const finding of findings) points.push(findingPoint(basin, finding));
    for (const one of inflow) {
      stretches.set(one.from_s, one);
      points.push(inflowPoint(basin, one));
    }
    const newest = Math.floor(Math.max(...stretches.keys()) / 600) * 600;
    const finished = [...stretches.values()].filter(({ from_s }) => from_s < newest);
    if (inflow.length > 0) for (const one of joinInflow(finished, 0, 600)) points.push(joinedInflowPoint(basin, one));
    await writeTo(server, points);
  };
}

export async function writeTo({ url }: Pick<Influxd, "url">, points: readonly Point[]): Promise<void> {
  for (let i = 0; i < points.length; i += 10_000) {
    const some = points.slice(i, i + 10_000);
    for (const policy of ["raw", "forever"]) {
      const body = some
        .filter((point) => point.policy === policy)
        .map(lineOf)
        .join("\n");
      const answer = await fetch(`${url}/write?db=undercroft&rp=${policy}&precision=ns`, { method: "POST", body });
      if (answer.status !== 204) throw new Error(`${answer.status}: ${await answer.text()}`);
    }
  }
}
