// What a real server with limits of its own refuses, and what goes wrong on the way: each is one sentence, and none of it
// is taken for an answer.

import { createServer, type Server } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { linkToDatabase } from "../../daemon/stores/influx/database-link.ts";
import { influxRecord } from "../../daemon/stores/influx/influx-record.ts";
import { freePort } from "./free-port.ts";
import { connectionTo, linkTo, makeDatabase, tellBasin } from "./influx-writer.ts";
import { type Influxd, startInfluxd } from "./influxd.ts";

const noon_s = 1_767_614_400;
const readings: Reading[] = Array.from({ length: 3000 }, (_, i) => ({
  ...silentReading,
  time_s: noon_s + i,
  level_m: 0.2,
}));
const all = { from_s: noon_s, to_s: noon_s + 3000 };

async function limited(lines: Readonly<Record<string, readonly string[]>>, ask: (server: Influxd) => Promise<void>) {
  const server = await startInfluxd({ lines });
  try {
    await makeDatabase(server);
    await tellBasin(server, "a")({ readings });
    await ask(server);
  } finally {
    await server.dispose();
  }
}

describe("a shared database with limits", () => {
  it("that cuts answers off is not believed", async () => {
    await limited({ http: ["max-row-limit = 1000"] }, async (server) => {
      const record = influxRecord(await linkTo(server), "a");
      await expect(record.level(all, 4000)).rejects.toThrow("it gave only a part of the answer (max-row-limit");
    });
  });

  it("that gives no more than so many figures says that", async () => {
    await limited({ coordinator: ["max-select-buckets = 20"] }, async (server) => {
      const record = influxRecord(await linkTo(server), "a");
      await expect(record.level(all, 100)).rejects.toThrow(
        "the question is larger than its configuration allows: max-select-buckets limit exceeded",
      );
    });
  });

  it("that has no policy, or no database, says what makes it", async () => {
    const server = await startInfluxd();
    const record = influxRecord(await linkTo(server), "a");
    await expect(record.span()).rejects.toThrow(
      "it has no database undercroft; undercroft store set-up-database makes it",
    );
    await server.query("CREATE DATABASE undercroft");
    await expect(record.span()).rejects.toThrow(
      /it has no policy (raw|forever); undercroft store set-up-database makes/,
    );
    await server.dispose();
  });
});

describe("an address", () => {
  let silent: Server;
  let port: number;
  beforeAll(async () => {
    port = await freePort();
    silent = createServer(() => {}).listen(port, "127.0.0.1");
  });
  afterAll(() => void silent.close());

  it("at which nobody answers is left after the time that was given", async () => {
    const connection = { ...connectionTo({ url: `http://127.0.0.1:${port}` }), timeout: 1 };
    const link = await linkToDatabase(connection, "/");
    await expect(influxRecord(link, "a").cycles(all, 1)).rejects.toThrow("it has not answered in time");
  });
});
