import { describe, expect, it } from "vitest";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { knownBasins } from "../../../daemon/central/basins.ts";
import type { CentralFile } from "../../../daemon/central/config/central-file.ts";
import type { Database } from "../../../daemon/central/database.ts";
import { recallUnheard } from "../../../daemon/central/recall.ts";
import type { RecordReader } from "../../../daemon/stores/record-reader.ts";
import { StoreError } from "../../../daemon/stores/store-error.ts";
import { openFinding, siteInfo } from "../../real/central-boards.ts";
import { cycle, testParts } from "../server/parts.ts";
import { basin, startRound } from "./round.ts";

const now_s = 1_795_700_000;

function recordOf(to_s: number, findings: Finding[] = []): RecordReader {
  return {
    span: async () => ({ from_s: to_s - 86_400, to_s }),
    level: async () => ({ bucket_s: 0, time_s: [], minimum_m: [], maximum_m: [], mean_m: [] }),
    cycles: async () => [cycle],
    inflow: async () => [],
    findings: async () => findings,
    async *readings() {},
    rain: async () => null,
  };
}

const away: Database = {
  record: () => {
    const fail = async () => {
      throw new StoreError("database http://127.0.0.1:8086: it does not answer; is it running?");
    };
    return { ...recordOf(0), span: fail, level: fail, cycles: fail };
  },
  facts: async () => null,
};

const fileOf = (...names: string[]) =>
  ({
    basins: names.map((name) => basin({ name })),
    view: { silentAfter_s: 300 },
    customers: new Map(),
  }) as unknown as CentralFile;

describe("what the broker no longer keeps", () => {
  it("is recalled from the record: since when a basin is silent, and the trouble it was in", async () => {
    const basins = knownBasins(fileOf("elm-12"), () => now_s);
    const ended: Finding = { ...openFinding("short-cycling", "warning", now_s - 9000), to_s: now_s - 8000 };
    const record = recordOf(now_s - 7200, [openFinding("high-water", "critical", now_s - 7500), ended]);
    await recallUnheard({ basins, database: { ...away, record: () => record }, log() {} });
    const [one] = [...basins.all()];
    if (one === undefined) throw new Error("no basin");
    expect(basins.row(one, { now_s, timezone: "UTC", hearing_s: now_s - 60 }).conditions).toMatchObject([
      { kind: "high-water", since_s: now_s - 7500 },
      { kind: "silent", since_s: now_s - 7200 },
    ]);
  });

  it("is left as it is where the database does not answer, which is said once", async () => {
    const basins = knownBasins(fileOf("elm-12", "elm-14"), () => now_s);
    const said: string[] = [];
    await recallUnheard({ basins, database: away, log: (line) => said.push(line) });
    expect(said).toEqual([
      "database http://127.0.0.1:8086: it does not answer; is it running?; silent basins do not say since when",
    ]);
  });
});

describe("a basin's page from the database", () => {
  it("is there though the broker keeps nothing of the basin", async () => {
    const facts = { info: siteInfo, summary: testParts().summary(), said_s: now_s };
    const database: Database = { record: () => recordOf(now_s), facts: async () => facts };
    const round = await startRound({ basins: [{ name: "a" }], central: { database } });
    const get = async (path: string) => (await fetch(`${round.url}basins/a/api/${path}`)).json();
    expect(await get("site")).toMatchObject({ site: { name: siteInfo.site.name } });
    expect(await get("cycles")).toMatchObject({ cycles: [{ startedAt_s: cycle.startedAt_s }] });
    expect(await get("summary")).toMatchObject({ schema: "undercroft-report/1" });
    expect(await get("state")).toMatchObject({ span: { to_s: now_s }, situation: { time_s: null } });
    await round.stop();
  });

  it("shows what is true now, and says what is amiss, while the database is away", async () => {
    const round = await startRound({ basins: [{ name: "a" }], central: { database: away } });
    round.keep("a", "site", siteInfo);
    round.say("a", { level_m: 0.31 });
    const state = await (await fetch(`${round.url}basins/a/api/state`)).json();
    expect(state).toMatchObject({ situation: { level_m: 0.31 }, span: null });
    const level = await fetch(`${round.url}basins/a/api/level?from_s=0&to_s=10`);
    expect(level.status).toBeGreaterThanOrEqual(500);
    expect(await level.json()).toEqual({ error: "database http://127.0.0.1:8086: it does not answer; is it running?" });
    await round.stop();
  });
});
