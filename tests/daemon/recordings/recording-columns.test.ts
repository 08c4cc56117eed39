import { describe, expect, it } from "vitest";
import { problemList } from "../../../daemon/recordings/problem-list.ts";
import { type ColumnMap, parseColumnMap, planColumns } from "../../../daemon/recordings/recording-columns.ts";

function plan(header: string, map: ColumnMap = {}) {
  const problems = problemList("week.csv");
  const columns = planColumns(header.split(","), 1, map, problems);
  return { holds: columns.map(({ holds }) => holds), columns, problems: problems.lines() };
}

describe("planColumns", () => {
  it("knows every column of the contract", () => {
    const all =
      "pump_on,float_on,pump2_on,float2_on,high_float,pump_current_a,pump_power_w,mains_on,rain_mm,temperature_c,level_ft,time";
    const { columns, problems } = plan(all);
    expect(problems).toEqual([]);
    expect(columns.map((column) => ("channel" in column ? column.channel : column.holds))).toEqual([
      "pumpOn",
      "floatOn",
      "pump2On",
      "float2On",
      "highFloat",
      "pumpCurrent_a",
      "pumpPower_w",
      "mainsOn",
      "rain_m",
      "temperature_c",
      "level_m",
      "time",
    ]);
  });

  it("takes rain in inches, as many public stations give it", () => {
    expect(plan("time,rain_in").columns[1]).toMatchObject({ channel: "rain_m", times: 254, over: 10_000 });
  });

  it("ignores what it does not know", () => {
    expect(plan("time,Level,level_mm,")).toMatchObject({
      holds: ["time", "ignored", "number", "ignored"],
      problems: [],
    });
  });

  it("takes a logger's own names from a map, and the map goes before the contract's names", () => {
    const mapped = plan("date_time,bio_1_level,level_mm,pump_on", { time: "date_time", level_ft: "bio_1_level" });
    expect(mapped).toMatchObject({ holds: ["time", "number", "ignored", "contact"], problems: [] });
    expect(mapped.columns[1]).toMatchObject({ times: 3048, over: 10_000 });
    expect(plan(",Value", { time: "", level_mm: "Value" })).toMatchObject({ holds: ["time", "number"], problems: [] });
  });

  it.each([
    ["level_mm", {}, 'week.csv:1: no column of time; expected time or time_ms, found "level_mm"'],
    ["time,time_ms,level_m", {}, "week.csv:1: both time and time_ms; expected one of them"],
    ["time,level_m,level_ft", {}, "week.csv:1: more than one level (level_m, level_ft); expected at most one"],
    ["time,rain_mm,rain_in", {}, "week.csv:1: more than one rain (rain_mm, rain_in); expected at most one"],
    ["time,level_m,level_m", {}, 'week.csv:1: column "level_m" stands there twice; expected once'],
    ["time,x", { level_m: "y" }, 'week.csv:1: no column "y" (for level_m); found "time", "x"'],
    [
      "time,x,level_m",
      { depth_m: "x" },
      'week.csv: column map: "depth_m" is no column of a recording; expected one of',
    ],
    ["time,x", { level_m: "x", level_ft: "x" }, 'week.csv: column map: "x" is given both as level_m and as level_ft'],
  ])("says what is wrong with %s", (header, map, problem) => {
    expect(plan(header, map).problems[0]).toContain(problem);
  });

  it("says that no column is a channel, and which there are", () => {
    expect(plan("time,foo").problems.join()).toMatch(
      /^week.csv:1: no channel; expected at least one of level_mm, .* found "time", "foo"$/,
    );
  });
});

describe("parseColumnMap", () => {
  it("reads pairs", () => {
    expect(parseColumnMap("level_ft=bio_1_level, time=date_time")).toEqual({
      ok: true,
      columns: { level_ft: "bio_1_level", time: "date_time" },
    });
    expect(parseColumnMap("time=,level_mm=a=b")).toEqual({ ok: true, columns: { time: "", level_mm: "a=b" } });
  });

  it.each([
    ["level_ft", `expected column=logger's column, found "level_ft"`],
    ["level=x", '"level" is no column of a recording; expected one of time, time_ms, level_mm'],
    ["time=a,time=b", "time is given twice"],
    ["constructor=a", '"constructor" is no column of a recording'],
  ])("refuses %j", (text, problem) => {
    const parsed = parseColumnMap(text);
    expect(parsed.ok ? "" : parsed.problem).toContain(problem);
  });
});
