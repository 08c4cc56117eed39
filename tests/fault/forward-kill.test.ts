// A board that is killed at any moment while it forwards, and a database that is killed too: in the end the database has
// what the card has, all of it, once.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startBoard } from "../daemon/forward/board.ts";
import { inDatabase, onCard, setUp } from "../real/forwarded.ts";
import { type Influxd, startInfluxd } from "../real/influxd.ts";
import { startChild } from "./children.ts";

const kills = Number(process.env.KILLS ?? 8);
const kinds = ["readings", "cycles", "findings", "inflow", "joined", "tenMinutes"] as const;
const limit_ms = 60_000 + kills * 20_000;
const start_s = Math.floor(Date.now() / 1000) - 40 * 86_400;

let server: Influxd;
let folder: string;
beforeAll(async () => {
  server = await startInfluxd();
});
afterAll(() => server.dispose());
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-forward-kill-"));
  for (const name of ["undercroft", "undercroft_names"]) await server.query(`DROP DATABASE ${name}`);
  await setUp(server);
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("a board that is killed while it forwards", () => {
  it(
    "has in the end all its record in the database, and nothing else",
    async () => {
      // Also until there is enough to compare: on a busy machine a life of so short a time takes little.
      for (let kill = 0; kill < kills || !enough(onCardNow()); kill++) {
        const child = startChild("forward-until-killed.ts", folder, server.url, String(start_s));
        await child.heard("open");
        await sleep(Math.random() * 700);
        if (kill % 4 === 3) await server.kill(); // both at once
        await child.kill();
        if (kill % 4 === 3) await startAfterCrash();
      }
      const last = startBoard(folder, { config: { url: server.url } });
      await last.allSent();
      const [there, here] = [await inDatabase(server, "elm-7"), onCard(last.store)];
      for (const kind of kinds) {
        expect(differences(there[kind], here[kind])).toEqual({ missing: 0, tooMany: 0, first: undefined });
      }
      await last.stop();
    },
    limit_ms,
  );
});

function enough(here: ReturnType<typeof onCard>): boolean {
  return kinds.every((kind) => here[kind].length > 2);
}

function onCardNow(): ReturnType<typeof onCard> {
  const store = openSqliteStore(join(folder, "store.db"));
  const here = onCard(store);
  store.close();
  return here;
}

/**
 * InfluxDB 1.6 cuts a torn end off its log and then writes on where that end had been: what it takes until the next start
 * is lost with that. Started once more before anybody writes, it writes on at the right place.
 */
async function startAfterCrash(): Promise<void> {
  await server.start();
  await server.kill();
  await server.start();
}

/** In short: all of it would fill pages. */
function differences(there: readonly object[], here: readonly object[]) {
  const [inDatabase, inRecord] = [new Set(there.map(text)), new Set(here.map(text))];
  const missing = [...inRecord].filter((one) => !inDatabase.has(one));
  const tooMany = [...inDatabase].filter((one) => !inRecord.has(one));
  const doubled = there.length - inDatabase.size - (here.length - inRecord.size);
  return { missing: missing.length, tooMany: tooMany.length + doubled, first: missing[0] ?? tooMany[0] };
}

function text(record: object): string {
  return JSON.stringify(record);
}
