// Whether all that the boards said is there, once: counted board by board in the database and in the central view.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { InfluxDB } from "influx";
import type { CyclesAnswer } from "../../../daemon/server/api-types.ts";
import { type CentralMachine, secretOf } from "../../real/central-machine.ts";
import type { PageWatch } from "./page-watch.ts";
import type { Tally } from "./simulated-board.ts";

export interface Counted {
  readonly sent: { readonly readings: number; readonly cycles: number; readonly alarms: number };
  readonly inDatabase: { readonly readings: number; readonly cycles: number; readonly alarms: number };
  /** Boards in the central view, and of how many the last level is the one that was published last. */
  readonly inView: { readonly rows: number; readonly lastLevels: number };
  /** Of a few boards, looked at through the central view: cycles there, and cycles sent. */
  readonly drilled: { readonly boards: number; readonly cycles: number; readonly sent: number };
  /** Whatever is not as it was sent, a line for each; at most a few. */
  readonly wrong: readonly string[];
  readonly disk_bytes: number;
}

const mostLines = 10;
const drilledBoards = 10;

export async function countAll(
  here: CentralMachine,
  page: PageWatch,
  tallies: Readonly<Record<string, Tally>>,
): Promise<Counted> {
  const wrong: string[] = [];
  const boards = Object.entries(tallies);
  const found = await countsInDatabase(here);
  const sent = { readings: 0, cycles: 0, alarms: 0 };
  const inDatabase = { readings: 0, cycles: 0, alarms: 0 };
  for (const [name, tally] of boards) {
    for (const kind of ["readings", "cycles", "alarms"] as const) {
      const there = found[kind].get(name) ?? 0;
      sent[kind] += tally[kind];
      inDatabase[kind] += there;
      if (there !== tally[kind]) wrong.push(`${name}: ${tally[kind]} ${kind} sent, ${there} in the database`);
    }
  }
  const { rows, pulses } = await page.whole();
  const levels = new Map(pulses.map(([name, level_m]) => [name, level_m]));
  const lastLevels = boards.filter(([name, { level_m }]) => levels.get(name) === level_m).length;
  if (new Set(rows.map(({ name }) => name)).size !== rows.length)
    wrong.push("a basin stands twice in the central view");

  const drilled = { boards: 0, cycles: 0, sent: 0 };
  for (const [name, tally] of boards.slice(0, drilledBoards)) {
    const span = `from_s=0&to_s=${Math.ceil(Date.now() / 1000)}`;
    const { cycles } = await page.ask<CyclesAnswer>(`/basins/${name}/api/cycles?${span}&limit=500`);
    drilled.boards++;
    drilled.cycles += cycles?.length ?? 0;
    drilled.sent += tally.cycles;
  }
  return {
    ...{ sent, inDatabase, drilled, inView: { rows: rows.length, lastLevels } },
    wrong: wrong.slice(0, mostLines),
    disk_bytes: diskOf(here.places.database.data),
  };
}

async function countsInDatabase({ machine, places }: CentralMachine) {
  const ca = readFileSync(join(places.tls, "ca.pem"));
  const influx = new InfluxDB({
    hosts: [{ host: "127.0.0.1", port: machine.databasePort, protocol: "https", options: { ca } }],
    database: "undercroft",
    username: "administrator",
    password: secretOf(join(places.secrets, "administrator")),
  });
  const count = async (policy: string, measurement: string, field: string) => {
    const rows = await influx.query<{ basin: string; count: number }>(
      `SELECT count("${field}") AS "count" FROM "undercroft"."${policy}"."${measurement}" GROUP BY "basin"`,
    );
    return new Map(rows.map(({ basin, count }) => [basin, count]));
  };
  return {
    readings: await count("raw", "reading", "pumpOn"),
    cycles: await count("forever", "cycle", "stoppedAt_s"),
    alarms: await count("forever", "finding", "message"),
  };
}

function diskOf(folder: string): number {
  return Number(execFileSync("du", ["-s", "--block-size=1", folder], { encoding: "utf8" }).split("\t")[0]);
}
