import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../../analysis/readings/reading.ts";
import { readRecording } from "../../../daemon/recordings/read-recording.ts";
import * as fc from "../../at-random.ts";
import { readText } from "./read-text.ts";

const folder = mkdtempSync(join(tmpdir(), "read-recording-"));
afterAll(() => rmSync(folder, { recursive: true }));

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

async function problemsOf(path: string): Promise<string[]> {
  const result = await readRecording(path, {}, () => {});
  return result.problems.map((problem) => problem.replace(`${folder}/`, ""));
}

describe("a recording of the contract", () => {
  it("becomes readings in SI, with null where a cell is empty", async () => {
    const { given, problems } = await readText(
      "time,level_mm,pump_on,high_float,pump_current_a,pump_power_w,mains_on,rain_mm,temperature_c,float_on\n" +
        "2026-03-08T14:00:00Z,355.1,1,0,4.2,480,1,0.2,11.5,1\n" +
        "2026-03-08T14:00:01Z,,,,,,,,,\n",
    );
    expect(problems).toEqual([]);
    expect(given).toEqual([
      {
        time_s: 1772978400,
        level_m: 355.1 / 1000,
        pumpOn: true,
        floatOn: true,
        pump2On: null,
        float2On: null,
        highFloat: false,
        pumpCurrent_a: 4.2,
        pumpPower_w: 480,
        mainsOn: true,
        rain_m: 0.2 / 1000,
        temperature_c: 11.5,
      },
      { ...silentReading, time_s: 1772978401 },
    ]);
  });

  it("may tell of a second pump", async () => {
    const { given } = await readText("time_ms,pump_on,pump2_on,float2_on\n1000,0,1,1\n2000,1,,0\n");
    expect(given).toEqual([
      { ...silentReading, time_s: 1, pumpOn: false, pump2On: true, float2On: true },
      { ...silentReading, time_s: 2, pumpOn: true, float2On: false },
    ]);
  });

  it.each([
    ["level_mm", "304.8", 0.3048],
    ["level_cm", "30.48", 0.3048],
    ["level_m", "0.3048", 0.3048],
    ["level_in", "12", 0.3048],
    ["level_ft", "1", 0.3048],
  ])("converts %s", async (column, text, level_m) => {
    const { given } = await readText(`time_ms,${column}\n1000,${text}\n`);
    expect(given[0]).toMatchObject({ time_s: 1, level_m });
  });

  it.each([
    ["CR LF, byte order mark, quotes, no last line end", '\uFEFF"time_ms","level_m"\r\n"1000","0.5"\r\n2000,0.6'],
    ["blank lines, empty rows, blanks in cells", "\ntime_ms,level_m\n\n1000, 0.5 \n,\n\r\n2000,0.6\n\n"],
    ["semicolons", "time_ms;level_m\n1000;0.5\n2000;0.6\n"],
    ["tabs", "time_ms\tlevel_m\n1000\t0.5\n2000\t0.6\n"],
    ["exponents and signs", "time_ms,level_m\n+1000,+5e-1\n2000,6E-1\n"],
    ["a foreign column with line breaks in quotes", 'time_ms,level_m,note\n1000,0.5,"a\nb, ""c"""\n2000,0.6,\n'],
  ])("may have %s", async (_, text) => {
    const { given, problems } = await readText(text);
    expect(problems).toEqual([]);
    expect(given.map(({ time_s, level_m }) => [time_s, level_m])).toEqual([
      [1, 0.5],
      [2, 0.6],
    ]);
  });

  it("takes contacts of other loggers and their texts for a missing value", async () => {
    const text = "time_ms,pump_on,level_m\n1000,1.0,NA\n2000,FALSE,-\n3000,true,\n4000,NA,1\n";
    const { given, problems } = await readText(text, { missing: ["NA", "-"] });
    expect(problems).toEqual([]);
    expect(given.map(({ pumpOn, level_m }) => [pumpOn, level_m])).toEqual([
      [true, null],
      [false, null],
      [true, null],
      [null, 1],
    ]);
  });

  it("reports an unknown column once", async () => {
    const seen: string[] = [];
    const text = "time_ms,level_m,Level,Level\n1000,1,2,3\n2000,1,2,3\n";
    const { unknownColumns } = await readText(text, { onUnknownColumn: (name) => seen.push(name) });
    expect([seen, unknownColumns]).toEqual([["Level"], ["Level"]]);
  });

  it("reads another logger's file by its column map and time zone", async () => {
    const columns = { level_ft: "bio_1_level", time: "date_time" };
    const text = "date_time,bio_1_level\n2026-07-01 08:00:00,1\n2026-07-01 08:01:00,2\n";
    const { given } = await readText(text, { columns, timezone: "America/Denver" });
    expect(given.map(({ time_s, level_m }) => [new Date(time_s * 1000).toISOString(), level_m])).toEqual([
      ["2026-07-01T14:00:00.000Z", 0.3048],
      ["2026-07-01T14:01:00.000Z", 0.6096],
    ]);
  });

  it("comes back as it was written, whatever the readings", async () => {
    const number = fc.option(fc.double({ noNaN: true, noDefaultInfinity: true }));
    const contact = fc.option(fc.boolean());
    const row = fc.record({ level_m: number, temperature_c: number, pumpOn: contact, mainsOn: contact });
    const text = (value: number | boolean | null) =>
      value === null ? "" : Object.is(value, -0) ? "-0" : String(Number(value));
    await fc.assert(
      fc.asyncProperty(fc.array(row, { minLength: 1, maxLength: 20 }), async (rows) => {
        const lines = rows.map(({ level_m, temperature_c, pumpOn, mainsOn }, n) =>
          [text(pumpOn), n, text(level_m), text(temperature_c), text(mainsOn)].join(),
        );
        const { given } = await readText(`pump_on,time_ms,level_m,temperature_c,mains_on\n${lines.join("\n")}`);
        expect(given).toEqual(rows.map((values, n): Reading => ({ ...silentReading, time_s: n / 1000, ...values })));
      }),
      { numRuns: 50 },
    );
  });

  it("does not depend on where its bytes are cut into chunks", async () => {
    const rows = Array.from({ length: 300 }, (_, n) => {
      const note = n % 7 === 0 ? `"a ""quoted""\r\nnote, ${n}"` : "plain";
      return `${new Date(n * 1000).toISOString()},${note},${(n * 0.37).toFixed(n % 5)},${n % 2}\r\n`;
    });
    const text = `\uFEFFtime,note,level_cm,pump_on\r\n${rows.join("")}`;
    const whole = await readText(text);
    expect(whole.given).toHaveLength(300);
    const zipped = gzipSync(text);
    for (const chunkBytes of [1, 7, 64 * 1024]) {
      expect(await readText(text, { chunkBytes })).toEqual(whole);
      expect(await readText(zipped, { chunkBytes })).toEqual(whole);
    }
  });
});

describe("a recording in disorder", () => {
  const row = (time_s: number, level_m: number | string) => `${time_s * 1000},${level_m}`;
  const text = (rows: readonly string[]) => `time_ms,level_m\n${rows.join("\n")}\n`;

  it("is sorted as a whole when it does not fit the window, after the readings so far were taken back", async () => {
    const rows = Array.from({ length: 18_000 }, (_, n) => row(n, n % 100));
    let restarts = 0;
    const given: number[] = [];
    const path = file("backwards.csv", text(rows.toReversed()));
    const onRestart = () => {
      restarts += 1;
      given.length = 0;
    };
    const result = await readRecording(path, { onRestart }, ({ time_s }) => given.push(time_s));
    expect(result).toMatchObject({ rows: 18_000, readings: 18_000, sorted: true, clockSteps: [], problems: [] });
    expect(restarts).toBe(1);
    expect(given).toEqual(rows.map((_, n) => n));
  });

  it("is checked to its end before the first reading when they cannot be taken back", async () => {
    const rows = Array.from({ length: 18_000 }, (_, n) => row(n, n % 100));
    const given: number[] = [];
    const late = await readRecording(file("late.csv", text([...rows.slice(1), row(0, 1)])), {}, ({ time_s }) => {
      given.push(time_s);
    });
    expect(late.sorted).toBe(true);
    expect(given).toEqual(rows.map((_, n) => n));
    const bad = await readRecording(file("bad.csv", text([...rows, row(18_000, "x")])), {}, () => given.push(-1));
    expect(bad.problems).toHaveLength(1);
    expect(given).not.toContain(-1);
  });

  it("holds back when its reader is slow", async () => {
    let turns = 0;
    const afterChunk = async () => {
      turns += 1;
    };
    await readText(text(Array.from({ length: 100 }, (_, n) => row(n, n))), { afterChunk, chunkBytes: 100 });
    expect(turns).toBeGreaterThan(5);
  });
});

describe("bad input", () => {
  it.each([
    ["time_ms,level_mm\n1000,abc\n", 'week.csv:2: level_mm: expected a number, found "abc"'],
    ["time_ms,level_mm\n1000,NaN\n", 'week.csv:2: level_mm: expected a number, found "NaN"'],
    ["time_ms,level_mm\n1000,1e999\n", 'week.csv:2: level_mm: expected a number, found "1e999"'],
    ["time_ms,level_mm\n1000,355,1\n", "week.csv:2: expected 2 cells as in the header, found 3"],
    ["time_ms,level_mm\n\n1000\n", "week.csv:3: expected 2 cells as in the header, found 1"],
    ["time_ms,pump_on\n1000,2\n", 'week.csv:2: pump_on: expected 1 or 0, found "2"'],
    ["time_ms,pump_on\n1000,on\n", 'week.csv:2: pump_on: expected 1 or 0, found "on"'],
    ["time_ms,level_mm\n1.5,1\n", 'week.csv:2: time_ms: expected whole milliseconds since 1970, found "1.5"'],
    ["time_ms,level_mm\n,1\n", 'week.csv:2: time_ms: expected whole milliseconds since 1970, found ""'],
    [
      "time,level_mm\n2026-03-08 14:00,1\n",
      'week.csv:2: time: expected an offset from UTC such as Z or -05:00, or the recording\'s time zone (--timezone, or recording.timezone in the site file), found "2026-03-08 14:00"',
    ],
    [
      "time,level_mm\n3/8/2026,1\n",
      'week.csv:2: time: expected ISO 8601, such as 2026-03-08T14:00:00Z, found "3/8/2026"',
    ],
    ['time_ms,level_mm\n1000,"1"x\n', "week.csv:2: text after a closing quote"],
    ['time_ms,level_mm\n1000,"1\n2000,2\n', "week.csv:2: a quote is left open to the end of the file"],
    ["", "week.csv: is empty; expected a header row, such as time,level_mm,pump_on"],
    ["\n\n", "week.csv: is empty; expected a header row, such as time,level_mm,pump_on"],
    ["time,level_mm\n", "week.csv: has a header row and nothing below it; expected at least one reading"],
    ["time,level_mm\r2026-03-08T14:00Z,1\r", "week.csv:1: lines end with CR alone; expected LF or CR LF"],
  ])("%j gets one line that says what was found and expected", async (text, problem) => {
    expect(await problemsOf(file("week.csv", text))).toEqual([problem]);
  });

  it("names files that are no recordings", async () => {
    const zipped = gzipSync(`time_ms,level_mm\n${"1000,1\n".repeat(1000)}`);
    expect(await problemsOf(file("cut.csv.gz", zipped.subarray(0, 40)))).toEqual([
      "cut.csv.gz: ends in the middle of its gzip data; expected a complete file",
    ]);
    const damaged = Buffer.from(zipped);
    damaged.fill(0x55, 12, 40);
    expect(await problemsOf(file("damaged.csv.gz", damaged))).toEqual(["damaged.csv.gz: its gzip data are damaged"]);
    expect(await problemsOf(file("wide.csv", Buffer.from("\uFEFFtime,level_mm\n", "utf16le")))).toEqual([
      "wide.csv: is UTF-16; expected UTF-8",
    ]);
    expect(await problemsOf(file("image.csv", Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x1a, 0x0a, 0x00])))).toEqual([
      "image.csv: is no text (byte 0x1a at 5); expected CSV, plain or gzipped",
    ]);
    expect(await problemsOf(file("long.csv", "x".repeat(100_000)))).toEqual([
      "long.csv:1: no line end within 64 kB; expected a header row of CSV",
    ]);
    expect(await problemsOf(folder)).toEqual([`${folder}: is a directory; expected a CSV file`]);
    expect(await problemsOf(join(folder, "nowhere.csv"))).toEqual(["nowhere.csv: no such file"]);
  });

  it("is told about row by row, of each kind the first ten, with a count of the others; and every row is looked at", async () => {
    const { problems, rows, given } = await readText(`time_ms,level_mm\n${"x,y\n".repeat(5_000)}`);
    const rowsOf = (column: string) =>
      problems.filter((problem) => problem.includes(column)).map((problem) => Number(problem.split(":")[1]));
    expect(problems[0]).toMatch(/^standard input:2: time_ms: .*, found "x"$/);
    expect(rowsOf(" time_ms:")).toEqual([2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    expect(problems[11]).toMatch(/^standard input:2: level_mm: .*, found "y"$/);
    expect(rowsOf(" level_mm:")).toEqual([2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    expect([problems[10], problems[21]]).toEqual(Array(2).fill("standard input: and 4,990 more like these"));
    expect(problems).toHaveLength(22);
    expect([rows, given]).toEqual([5_000, []]);
  });

  it("names a time zone that does not exist", async () => {
    const { problems } = await readText("time_ms,level_mm\n1000,1\n", { timezone: "America/Atlantis" });
    expect(problems).toEqual([
      'standard input: expected a time zone such as America/Toronto, found "America/Atlantis"',
    ]);
  });

  it("stops at a row without an end", async () => {
    const { problems } = await readText(`time_ms,level_mm\n1000,1\n2000,"${"1,\n".repeat(500_000)}`);
    expect(problems).toEqual(["standard input:3: a row of more than 1 MB; is a quote left open?"]);
  });

  it("never throws, whatever the bytes, and gives no NaN", async () => {
    const piece = fc.oneof(
      fc.constantFrom("time,", "time_ms,level_m\n", "level_m", '"', "\n", "\r\n", ",", "1000,1\n", "-", "\uFEFF"),
      fc.string(),
    );
    const anything = fc.oneof(
      fc.uint8Array({ maxLength: 300 }),
      fc.array(piece).map((pieces) => Buffer.from(pieces.join(""))),
    );
    await fc.assert(
      fc.asyncProperty(anything, async (bytes) => {
        const { given, problems } = await readText(bytes);
        expect(given.length > 0 || problems.length > 0).toBe(true);
        for (const reading of given) expect(Object.values(reading)).not.toContain(Number.NaN);
      }),
    );
  });
});
