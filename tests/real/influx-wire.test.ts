// What the wire does to values, on a real server: the edges of times, whole numbers, floats and texts. A point is written in
// nanoseconds and read in microseconds; the client's own way with numbers, which we do not go, stands beside it.

import { InfluxDB } from "influx";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { influxRecord } from "../../daemon/stores/influx/influx-record.ts";
import * as fc from "../at-random.ts";
import { allOf, always, finding } from "../contracts/record-suite.ts";
import { linkTo, makeDatabase, tellBasin } from "./influx-writer.ts";
import { type Influxd, startInfluxd } from "./influxd.ts";

const noon_s = 1_767_614_400;
let server: Influxd;
let basins = 0;

beforeAll(async () => {
  server = await startInfluxd();
  await makeDatabase(server);
});
afterAll(() => server?.dispose());

async function empty() {
  const basin = `wire-${++basins}`;
  return { tell: tellBasin(server, basin), reader: influxRecord(await linkTo(server), basin) };
}

describe("the wire", () => {
  it("brings any number of a sensor back bit for bit", async () => {
    const number = fc.double({ noNaN: true, noDefaultInfinity: true }).filter((x) => Math.abs(x) !== Number.MAX_VALUE);
    const edges = [0, -0, 5e-324, 1e-7, 1e21, 2 ** 53, 2 ** 53 + 2, -(2 ** 50), 0.1 + 0.2, 123_456_789.12345679, 1e300];
    const values = [...edges, ...fc.sample(number, 500)];
    const readings: Reading[] = values.map((level_m, i) => ({
      ...silentReading,
      time_s: noon_s + i,
      level_m,
      pumpPower_w: values[values.length - 1 - i] ?? 0,
    }));
    const { tell, reader } = await empty();
    await tell({ readings });
    expect(await allOf(reader, always)).toStrictEqual(readings);
  });

  it("brings any time back that a double can hold, in its place", async () => {
    const times = [0, 1e-6, 1 / 3, 86_400.000001, noon_s + 0.0005, noon_s + 0.001, noon_s + 1 / 3, noon_s + 2 / 3, 4e9];
    const readings = times.map((time_s, i) => ({ ...silentReading, time_s, level_m: i / 10 }));
    const { tell, reader } = await empty();
    await tell({ readings });
    expect(await allOf(reader, always)).toStrictEqual(readings);
  });

  it("keeps a thousand and more readings of one instant apart, in their order", async () => {
    const readings = Array.from({ length: 2500 }, (_, i) => ({ ...silentReading, time_s: noon_s, level_m: i / 1000 }));
    const { tell, reader } = await empty();
    await tell({ readings });
    expect(await allOf(reader, always)).toStrictEqual(readings);
  });

  it("brings any text back, whatever is in it", async () => {
    const texts = [
      ...`"'\\,= \n\t\r`,
      '\\"',
      "\\'",
      "\\\\",
      "'; DROP DATABASE undercroft --",
      "θ → 水 🚰",
      "",
      "\u0000",
    ];
    const some = [...texts, ...fc.sample(fc.string({ unit: "binary" }), 200)].map((message, i) => ({
      ...finding("high-water", noon_s + i, null),
      message,
      // Any but the one that reading leaves out, which would be an object's prototype.
      evidence: message === "__proto__" ? {} : { [message]: message },
    }));
    const { tell, reader } = await empty();
    await tell({ findings: some });
    expect(await reader.findings(always, 1000)).toStrictEqual(some.toReversed());
  });

  it("has each point once, however often it is written", async () => {
    const readings = Array.from({ length: 50 }, (_, i) => ({ ...silentReading, time_s: noon_s + i, level_m: i / 10 }));
    const basin = `wire-${++basins}`;
    for (let times = 0; times < 3; times++) await tellBasin(server, basin)({ readings });
    expect(await allOf(influxRecord(await linkTo(server), basin), always)).toStrictEqual(readings);
  });
});

describe("the client, by itself", () => {
  const client = () => {
    const { hostname, port } = new URL(server.url);
    return new InfluxDB({ host: hostname, port: Number(port), database: "undercroft" });
  };

  it("writes every number as a float", async () => {
    await client().writePoints([{ measurement: "plain", fields: { v: 3 } }], { retentionPolicy: "raw" });
    const { results } = await server.query("SHOW FIELD KEYS FROM plain", "undercroft");
    expect(results[0]?.series?.[0]?.values).toEqual([["v", "float"]]);
  });

  it("mangles a text with a backslash before an apostrophe", async () => {
    await client().writePoints([{ measurement: "text", fields: { v: "it\\'s" } }], { retentionPolicy: "raw" });
    const found = await client().query<{ v: string }>('SELECT v FROM "raw"."text"');
    expect(found[0]?.v).toBe("it\\\\'s");
  });

  it("cannot tell whole numbers beyond 2^53 apart, nor nanoseconds as numbers", async () => {
    const body = `large v=9007199254740993i ${noon_s}000000001`;
    await fetch(`${server.url}/write?db=undercroft&rp=raw`, { method: "POST", body });
    const { results } = await client().queryRaw('SELECT v FROM "raw"."large"', { precision: "n" });
    const [time, value] = results[0]?.series?.[0]?.values?.[0] ?? [];
    expect(value).toBe(9007199254740992);
    expect(time).toBe(noon_s * 1e9);
    expect(Number(`${noon_s}000000001`)).toBe(time);
  });
});
