// What stands in a real database under a basin's name, as the record that it was made of; and what the card has.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { DatabaseConnection } from "../../daemon/stores/influx/connection.ts";
import { cycleIn, findingIn, inflowIn, readingIn } from "../../daemon/stores/influx/points.ts";
import { type DatabaseUser, setUpDatabase } from "../../daemon/stores/influx/set-up-database.ts";
import type { Store } from "../../daemon/stores/store.ts";
import type { Influxd } from "./influxd.ts";

export interface Contents {
  readonly readings: readonly Reading[];
  readonly cycles: readonly Cycle[];
  readonly findings: readonly Finding[];
  readonly inflow: readonly InflowStretch[];
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
  return {
    readings: (await rows("raw", "reading")).map(readingIn),
    cycles: known((await rows("forever", "cycle")).map(cycleIn)),
    findings: byKind(known((await rows("forever", "finding")).map(findingIn))),
    inflow: known((await rows("raw", "inflow")).map(inflowIn)),
  };
}

export function onCard(store: Store): Contents {
  const always = { from_s: 0, to_s: 1e10 };
  return {
    readings: [...store.readings()],
    cycles: store.cycles(always, 1e6).toReversed(),
    findings: byKind(store.findings(always, 1e6)),
    inflow: store.inflow(always, 1e9),
  };
}

function byKind(findings: readonly Finding[]): Finding[] {
  return findings.toSorted((a, b) => a.from_s - b.from_s || a.kind.localeCompare(b.kind));
}
