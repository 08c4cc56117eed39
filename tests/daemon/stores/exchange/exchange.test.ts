import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gunzipSync } from "node:zlib";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Finding } from "../../../../analysis/findings/finding.ts";
import { type Reading, silentReading } from "../../../../analysis/readings/reading.ts";
import { exportRecord, importRecording } from "../../../../daemon/stores/exchange/exchange.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";
import type { StoreOptions } from "../../../../daemon/stores/store.ts";
import * as fc from "../../../at-random.ts";
import * as content from "../../../fixtures/stores/content.ts";

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-exchange-"));
  path = join(folder, "store.db");
});
afterEach(() => rmSync(folder, { recursive: true }));

const at = (name: string) => join(folder, name);

function readBack(file: string): Reading[] {
  const store = openSqliteStore(file);
  const readings = [...store.readings()];
  store.close();
  return readings;
}

/** Whole milliseconds, strictly onwards; levels and the rest of any size. */
const value = fc.option(
  fc.double({ min: -1000, max: 1000, noNaN: true }).map((x) => x + 0),
  { nil: null },
);
const contact = fc.option(fc.boolean(), { nil: null });
const rain = fc.option(
  fc.integer({ min: 0, max: 100_000 }).map((thousandths) => thousandths / 1000 / 1000),
  { nil: null },
);
const anyReading = fc.record(
  {
    time_s: fc.integer({ min: 1, max: 100_000 }),
    level_m: value,
    pumpOn: contact,
    floatOn: contact,
    pump2On: contact,
    float2On: contact,
    highFloat: contact,
    pumpCurrent_a: value,
    pumpPower_w: value,
    mainsOn: contact,
    rain_m: rain,
    temperature_c: value,
  },
  { noNullPrototype: true },
);

describe("readings", () => {
  it("written out and taken in again are the very same", async () => {
    let run = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(anyReading, { minLength: 1, maxLength: 60 }), async (some) => {
        const [from, file, to] = [
          at(`from-${++run}.db`),
          at(`${run}.csv${run % 2 === 0 ? ".gz" : ""}`),
          at(`to-${run}.db`),
        ];
        let time_ms = 1_767_614_400_000;
        const readings = some.map((reading) => {
          time_ms += reading.time_s;
          return { ...reading, time_s: time_ms / 1000 };
        });
        const store = openSqliteStore(from);
        for (const reading of readings) store.append(reading);
        store.close();
        await exportRecord(from, { what: "readings", file, basin: "a" });
        expect(await importRecording(to, file)).toEqual({ readings: readings.length });
        expect(readBack(to)).toStrictEqual(readings);
      }),
      { numRuns: 12 },
    );
  });

  it("are written out while the daemon has the record, with those that are not in the database yet", async () => {
    const store = openSqliteStore(path);
    for (let n = 0; n < 100; n++) store.append({ ...silentReading, time_s: 1_767_614_400 + n, level_m: n / 100 });
    store.flush();
    await exportRecord(path, { what: "readings", file: at("now.csv"), basin: "a" });
    store.close();
    const lines = readFileSync(at("now.csv"), "utf8").trimEnd().split("\n");
    expect(lines[0]).toBe("time_ms,level_m"); // the channels that were read, and no others
    expect(lines).toHaveLength(101);
    expect(lines.at(-1)).toBe("1767614499000,0.99");
  });

  it("are taken in after what is there, and only so", async () => {
    writeFileSync(at("a.csv"), "time_ms,level_mm\n1767614400000,355.1\n1767614401000,\n");
    writeFileSync(at("b.csv"), "time_ms,level_mm\n1767614402000,355.3\n");
    expect(await importRecording(path, at("a.csv"))).toEqual({ readings: 2 });
    expect(await importRecording(path, at("b.csv"))).toEqual({ readings: 1 });
    expect(await importRecording(path, at("b.csv"))).toEqual({
      problems: [expect.stringContaining("begins at 2026-01-05T12:00:02.000Z, and the record ends at")],
    });
    expect(readBack(path).map(({ level_m }) => level_m)).toEqual([355.1 / 1000, null, 355.3 / 1000]);
  });

  it("are taken in by their time, however far out of order a recording has them", async () => {
    const rows = Array.from({ length: 50_000 }, (_, i) => `${1_767_614_400_000 + ((i * 7919) % 50_000) * 1000},${i}`);
    writeFileSync(at("mixed.csv"), `time_ms,level_mm\n${rows.join("\n")}\n`);
    expect(await importRecording(path, at("mixed.csv"))).toEqual({ readings: 50_000 });
    expect(readBack(path).map(({ time_s }) => time_s)).toEqual(
      Array.from({ length: 50_000 }, (_, i) => 1_767_614_400 + i),
    );
  });

  it("with a problem in the last row leave what was there", async () => {
    const rows = Array.from({ length: 30_000 }, (_, i) => `${1_767_614_400_000 + i * 1000},${(i * 7919) % 6007}`);
    writeFileSync(at("good.csv"), "time_ms,level_mm\n1767600000000,355.1\n");
    writeFileSync(at("bad.csv"), `time_ms,level_mm\n${rows.join("\n")}\nyesterday,350\n`);
    await importRecording(path, at("good.csv"));
    expect(await importRecording(path, at("bad.csv"))).toMatchObject({
      problems: [expect.stringContaining("bad.csv:30002")],
    });
    expect(readBack(path).map(({ level_m }) => level_m)).toEqual([355.1 / 1000]);
  });

  it("with a problem leave the record as it is", async () => {
    writeFileSync(at("bad.csv"), "time_ms,level_mm\n1767614400000,355.1\nyesterday,350\n");
    expect(await importRecording(path, at("bad.csv"))).toMatchObject({
      problems: [expect.stringContaining("bad.csv:3")],
    });
    expect(existsSync(path)).toBe(false);
  });
});

describe("findings and inflow", () => {
  beforeEach(() => fillRecord());
  const fillRecord = (options: StoreOptions = {}) => {
    const store = openSqliteStore(path, options);
    content.fill(store);
    store.saveFinding({
      ...content.findings[0],
      to_s: null,
      from_s: 1_767_700_000,
      message: 'Say "so", and wait.',
    } as Finding);
    store.close();
  };
  const linesOf = async (what: "findings" | "inflow") => {
    await exportRecord(path, { what, file: at(`${what}.csv`), basin: "a" });
    return readFileSync(at(`${what}.csv`), "utf8")
      .trimEnd()
      .split("\n");
  };

  it("are written out oldest first, with the evidence in the report's units", async () => {
    expect(await linesOf("findings")).toEqual([
      "from,to,kind,severity,message,evidence",
      '2026-01-05T12:01:40.000Z,2026-01-05T12:02:40.000Z,power-lost,critical,Look at the breaker.,"{""lasted_s"":60,""seen"":true,""cause"":null}"',
      '2026-01-06T11:46:40.000Z,,power-lost,critical,"Say ""so"", and wait.","{""lasted_s"":60,""seen"":true,""cause"":null}"',
    ]);
  });

  it("have each stretch with its uncertainty for 95 in 100", async () => {
    const [header, first, ...rest] = await linesOf("inflow");
    expect(header).toBe("from,to,inflow_lpm,inflow_u95_lpm");
    // 7e-5 m³/s are 4.2 L/min; 1.95996 standard uncertainties of 1e-6 m³/s are 0.1176 L/min.
    expect(first).toBe("2026-01-05T12:00:00.000Z,2026-01-05T12:01:00.000Z,4.2,0.117598");
    expect(rest).toHaveLength(59);
  });

  it("are joined by ten minutes where the single stretches have been dropped for their age", async () => {
    rmSync(path);
    fillRecord({ keepReadings_s: 1800 });
    const [, first, ...rest] = await linesOf("inflow");
    // The mean of ten that grow by 0.006 L/min from 4.2.
    expect(first).toBe("2026-01-05T12:00:00.000Z,2026-01-05T12:10:00.000Z,4.227,0.117598");
    const ends = [first ?? "", ...rest].map((line) => line.split(",").slice(0, 2));
    for (const [i, [from]] of ends.entries()) if (i > 0) expect(from).toBe(ends[i - 1]?.[1]); // none twice, none left out
  });

  it("are there as points, too", async () => {
    await exportRecord(path, { what: "inflow", file: at("inflow.lp"), basin: "a" });
    await exportRecord(path, { what: "findings", file: at("findings.lp"), basin: "a" });
    expect(readFileSync(at("inflow.lp"), "utf8")).toMatch(/^inflow,basin=a .* 1767614400000000/);
    expect(readFileSync(at("findings.lp"), "utf8")).toMatch(/^finding,basin=a/);
  });
});

describe("cycles", () => {
  it("are written out oldest first, in the report's units, also those that are not in the database yet", async () => {
    const store = openSqliteStore(path);
    for (const cycle of content.cycles) store.saveCycle(cycle);
    await exportRecord(path, { what: "cycles", file: at("cycles.csv.gz"), basin: "a" });
    store.close();
    const [header, ...rows] = gunzipSync(readFileSync(at("cycles.csv.gz")))
      .toString()
      .trimEnd()
      .split("\n");
    expect(header).toContain("started_at,stopped_at,run_s,rest_s,start_level_mm,stop_level_mm");
    expect(rows).toHaveLength(3);
    expect(rows[1]).toContain("2026-01-05T12:10:00.000Z,2026-01-05T12:10:20.500Z,20.5,579.5,330,150");
    expect(rows[1]).toContain("fill-slope");
  });

  it("are not written over a file that is there", async () => {
    openSqliteStore(path).close();
    writeFileSync(at("cycles.csv"), "mine");
    await expect(exportRecord(path, { what: "cycles", file: at("cycles.csv"), basin: "a" })).rejects.toThrow(
      "is there already",
    );
  });
});
