// What is exported as line protocol, written to Debian's influxd and read again.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { silentReading } from "../../analysis/readings/reading.ts";
import { pointLines, readingLines } from "../../daemon/stores/exchange/line-protocol.ts";
import { cycleIn, cyclePoint, readingIn } from "../../daemon/stores/influx/points.ts";
import * as content from "../fixtures/stores/content.ts";
import { type Influxd, type QueryAnswer, startInfluxd } from "./influxd.ts";

describe("a record as line protocol, written to a real influxd and read again", () => {
  let influxd: Influxd;
  beforeAll(async () => {
    influxd = await startInfluxd();
    await influxd.query("CREATE DATABASE a");
  });
  afterAll(() => influxd.dispose());

  const write = async (lines: Iterable<string>) => {
    const answer = await fetch(`${influxd.url}/write?db=a`, { method: "POST", body: [...lines].join("") });
    expect([answer.status, await answer.text()]).toEqual([204, ""]);
  };
  /** Times in microseconds, as the program's own reader asks for them. */
  const rowsOf = async (measurement: string) => {
    const asked = new URLSearchParams({ db: "a", epoch: "u", q: `SELECT * FROM ${measurement}` });
    const { results } = (await (await fetch(`${influxd.url}/query?${asked}`)).json()) as QueryAnswer;
    const [series] = results[0]?.series ?? [];
    return (series?.values ?? []).map((values) =>
      Object.fromEntries(series?.columns.map((name, i) => [name, values[i]]) ?? []),
    );
  };

  it("gives every reading back bit for bit, twice the same instant and a clock that stepped back among them", async () => {
    const twice = [0.1, Math.PI].map((level_m) => ({ ...silentReading, time_s: 1_767_600_000, level_m }));
    const readings = [...content.readings.slice(0, 1500), ...twice];
    await write(readingLines(readings, "elm-street-7"));
    await write(readingLines(readings, "elm-street-7")); // and once more: nothing is there twice
    const inOrder = readings.toSorted((a, b) => a.time_s - b.time_s);
    expect((await rowsOf("reading")).map(readingIn)).toStrictEqual(inOrder);
  });

  it("gives every cycle back", async () => {
    await write(pointLines(content.cycles, (cycle) => cyclePoint("elm-street-7", cycle)));
    expect((await rowsOf("cycle")).map(cycleIn)).toStrictEqual([...content.cycles]);
  });
});
