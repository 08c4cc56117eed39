import { describe, expect, it } from "vitest";
import * as z from "zod";
import { channelKinds } from "../../../daemon/alarms/channels/index.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { siteFileSchema } from "../../../daemon/config/schema.ts";
import type { SiteFile } from "../../../daemon/config/site-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import * as fc from "../../at-random.ts";
import { contractSite } from "./contract-site.ts";

const basin = "basin: { shape: round, diameter: 18 in }\n";

describe("a site file that holds", () => {
  it("turns the contract's example into SI, number for number", () => {
    // By hand: 1 in = 25.4 mm, 1 ft = 304.8 mm, 1 gpm = 6.30901964e-5 m³/s.
    const { site } = accepted(contractSite);
    expect(site).toMatchObject({
      name: "Example house",
      timezone: "America/Toronto",
      displayUnits: "us",
      basin: {
        geometry: { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0.005 },
        depth_m: 0.762,
        startLevel_m: 0.3556,
        stopLevel_m: 0.1524,
        highLevel_m: 0.508,
        overflowLevel_m: 0.762,
      },
      pump: { maxStartsPerHour: 20, minRun_s: 8 },
      discharge: {
        highPoint_m: 3.048,
        pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6.7056 },
        fittings: [
          { kind: "elbow-90", count: 3 },
          { kind: "check-valve-swing", count: 1 },
        ],
      },
      design: { inflowFactor: 1.5 },
    });
    expect(site.pump?.curve?.map(({ head_m }) => head_m)).toEqual([7.62, 6.096, 3.3528, 0]);
    expect(site.pump?.curve?.[1]?.flow_m3s).toBeCloseTo(20 * 6.30901964e-5, 12);
  });

  it("builds no group that it leaves out, and takes it for one without keys", () => {
    const groups = ["measurement", "backup", "store", "publish", "forward"] as const;
    const shapes = [{ basin: {} }, Object.fromEntries(groups.map((group) => [group, {}]))].map(
      (keys) => siteFileSchema(sourceKinds, channelKinds, keys).shape,
    );
    const built = shapes.map((shape) => groups.filter((group) => !(shape[group].unwrap() instanceof z.ZodNever)));
    expect(built).toEqual([[], groups]);
    expect(accepted(basin)).toEqual(accepted(`${basin}store: {}\npublish: {}\n`));
  });

  it("needs nothing but a basin, and makes up no figure", () => {
    const file = accepted(basin);
    expect(file.site).toEqual({
      name: "Unnamed site",
      timezone: "UTC",
      displayUnits: "metric",
      basin: {
        geometry: { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0 },
        depth_m: null,
        startLevel_m: null,
        stopLevel_m: null,
        highLevel_m: null,
        overflowLevel_m: null,
      },
      pump: null,
      discharge: null,
      design: { inflowFactor: 1.5 },
    });
    expect(file).toMatchObject({
      sources: [],
      store: { path: "/sites/site.sqlite" },
      server: { host: "127.0.0.1", port: 8047 },
      publish: { mqtt: null },
      recording: { columns: {}, timezone: null, missing: [] },
      baseFolder: "/sites",
    });
  });

  it("turns what is stated with 95 % coverage into standard uncertainties, and leaves the rest unknown", () => {
    const stated = "measurement: { geometry: 2 %, level_zero: 3 mm, edge_timing: 500 ms }\n";
    const { measurement } = accepted(basin + stated).site;
    // The 97.5 % point of the normal distribution is 1.959964.
    expect(measurement?.uGeometry).toBeCloseTo(0.02 / 1.959964, 8);
    expect(measurement?.uLevelZero_m).toBeCloseTo(0.003 / 1.959964, 9);
    expect(measurement?.uEdge_s).toBeCloseTo(0.5 / 1.959964, 7);
    expect(measurement).toMatchObject({ uLevelSpan: null, uFloatLevels_m: null, uFloatRepeatability_m: null });
  });

  it("takes an active volume measured with a bucket, with its uncertainty or without", () => {
    const measured = (keys: string) =>
      accepted(`basin: { shape: round, diameter: 18 in, ${keys} }`).site.basin.activeVolume;
    expect(measured("active_volume: 33 L")).toEqual({ volume_m3: 0.033, uVolume_m3: null });
    expect(measured("active_volume: 33 L, active_volume_uncertainty: 0.5 L")?.uVolume_m3).toBeCloseTo(
      5e-4 / 1.959964,
      9,
    );
    expect(rejected("basin: { shape: round, diameter: 18 in, active_volume_uncertainty: 0.5 L }")).toEqual([
      "/sites/site.yaml:1: basin.active_volume_uncertainty: expected active_volume beside it, found nothing",
    ]);
    expect(
      rejected("basin: { shape: round, diameter: 18 in, active_volume: 3 L, active_volume_uncertainty: 3 L }"),
    ).toEqual([
      "/sites/site.yaml:1: basin.active_volume_uncertainty: expected less than active_volume, 3 L (0.7925 gal), found 3 L (0.7925 gal)",
    ]);
  });

  it("asks for a percentage where a share is due", () => {
    const problem = (value: string) => rejected(`${basin}measurement: { geometry: ${value} }\n`)[0];
    expect(problem("0.02")).toContain(
      "expected a percentage with its unit, such as 2 % (units: %), found the bare number 0.02",
    );
    expect(problem("60 %")).toContain("measurement.geometry: expected at most 50 %, found 60 %");
  });

  it("takes a rectangular basin", () => {
    const { geometry } = accepted("basin: { shape: rectangular, width: 40 cm, length: 60 cm }").site.basin;
    expect(geometry).toEqual({ shape: "rectangular", width_m: 0.4, length_m: 0.6, occupiedArea_m2: 0 });
  });

  it("takes a basin as a table", () => {
    const { geometry } = accepted("basin: { shape: table, table: [[0 mm, 0 L], [100 mm, 14 L], [500 mm, 92 L]] }").site
      .basin;
    expect(geometry).toEqual({
      shape: "table",
      rows: [
        { level_m: 0, volume_m3: 0 },
        { level_m: 0.1, volume_m3: 0.014 },
        { level_m: 0.5, volume_m3: 0.092 },
      ],
    });
  });

  it("takes a measured inside diameter in place of a nominal size", () => {
    const { site } = accepted(
      `${basin}discharge: { high_point: 3 m, pipe: { material: pvc-40, inside_diameter: 41 mm, length: 7 m } }`,
    );
    expect(site.discharge?.pipe).toMatchObject({ nominal_m: null, insideDiameter_m: 0.041 });
    expect(site.discharge?.fittings).toEqual([]);
  });

  it("lets the start level be at the rim and high water at the floor", () => {
    accepted("basin: { shape: round, diameter: 18 in, depth: 14 in, start_level: 14 in, stop_level: 6 in }");
    accepted("basin: { shape: round, diameter: 18 in, high_level: 30 in, overflow_level: 30 in }");
  });

  it("maps another logger's columns", () => {
    const { recording } = accepted(
      `${basin}recording: { columns: { level_ft: bio_1_level, time: date_time }, timezone: America/Denver, missing: ["-9999"] }`,
    );
    expect(recording).toEqual({
      columns: { level_ft: "bio_1_level", time: "date_time" },
      timezone: "America/Denver",
      missing: ["-9999"],
    });
  });

  it("publishes under the site's name unless told otherwise", () => {
    const mqtt = "publish: { mqtt: { url: mqtt://broker.local:1883 } }\n";
    expect(accepted(`site: { name: "Café No. 5" }\n${basin}${mqtt}`).publish.mqtt?.topic_prefix).toBe(
      "undercroft/cafe-no-5",
    );
    const named = mqtt.replace("1883", "1883, topic_prefix: house/sump");
    expect(accepted(`${basin}${named}`).publish.mqtt?.topic_prefix).toBe("house/sump");
  });

  it("keeps the sources in order, with the defaults of their kinds", () => {
    const { sources } = accepted(`${basin}sources:
  - { kind: gpio, name: float, channel: float_on, line: 17 }
  - { kind: replay, name: week, file: week.csv }
`);
    expect(sources).toMatchObject([
      { kind: "gpio", name: "float", debounce: 0.05 },
      { kind: "replay", name: "week", speed: 1 },
    ]);
  });

  it("follows an anchor", () => {
    const { site } = accepted("basin: { shape: round, diameter: 18 in, overflow_level: &rim 30 in, depth: *rim }");
    expect(site.basin.depth_m).toBe(site.basin.overflowLevel_m);
  });
});

describe("a site file that does not hold", () => {
  it.each([
    ["a bare number", "depth: 30", "basin.depth: expected a length with its unit", "found the bare number 30"],
    ["a quantity of another kind", "depth: 30 gpm", "basin.depth: expected a length", '"30 gpm", which is a flow'],
    ["a negative level", "stop_level: -1 in", "basin.stop_level: expected a length", "found -1 in, which is negative"],
    ["an empty value", "depth:", "basin.depth: expected a length", "found nothing"],
    ["a list for a length", "depth: [1 in]", "basin.depth: expected a length", "found a list of 1"],
    ["a length of nothing", "depth: 0 in", "basin.depth: expected more than 0 mm", "found 0 in"],
    ["a misspelt key", "start_lvel: 14 in", "basin.start_lvel: unknown key", "did you mean start_level?"],
    ["a key of another shape", "width: 14 in", "basin.width: unknown key", "shape, diameter, occupied_area, depth"],
    [
      "an area too large",
      "occupied_area: 1 m2",
      "basin.occupied_area: expected less than",
      "1642 cm2, found 10000 cm2",
    ],
  ])("names %s, with its line", (_, line, key, found) => {
    const [problem] = rejected(`# a comment\nbasin:\n  shape: round\n  diameter: 18 in\n  ${line}\n`);
    expect(problem).toMatch(/^\/sites\/site.yaml:5: /);
    expect(problem).toContain(key);
    expect(problem).toContain(found);
  });

  it.each([
    ["stop_level: 15 in, start_level: 14 in", "basin.stop_level: expected less than start_level"],
    ["stop_level: 14 in, start_level: 14 in", "basin.stop_level: expected less than start_level"],
    ["start_level: 20 in, high_level: 20 in", "basin.start_level: expected less than high_level"],
    ["stop_level: 21 in, high_level: 20 in", "basin.stop_level: expected less than high_level"],
    ["high_level: 31 in, overflow_level: 30 in", "basin.high_level: expected at most overflow_level"],
    [
      "start_level: 31 in, depth: 30 in",
      "basin.start_level: expected at most depth, 762 mm (30 in), found 787.4 mm (31 in)",
    ],
  ])("names the level that is out of order in { %s }", (levels, expected) => {
    expect(rejected(`basin: { shape: round, diameter: 18 in, ${levels} }`)).toEqual([
      expect.stringContaining(`/sites/site.yaml:1: ${expected}`),
    ]);
  });

  it.each<[string, string]>([
    ["basin: { shape: square, width: 1 m }", 'basin.shape: expected one of round, rectangular, table, found "square"'],
    ["basin: { diameter: 18 in }", "basin.shape: expected one of round, rectangular, table, found nothing"],
    ["basin: 18 in", 'basin: expected a group of keys, found "18 in"'],
    ["site: { name: No basin }", "basin: expected a group of keys, found nothing"],
    ["- a list", "expected a group of keys, found a list of 1"],
    ["just words", 'expected a group of keys, found "just words"'],
    ["basin: { shape: table, table: [[0 mm, 0 L]] }", "basin.table: expected a list with at least 2 entries, found 1"],
    [
      "basin: { shape: table, table: [[0 mm, 0 L], [1 mm]] }",
      "basin.table[1]: expected a list with at least 2 entries",
    ],
    [
      "basin: { shape: table, table: [[0 mm, 0 L], [9 mm, 1 L], [9 mm, 2 L]] }",
      "basin.table[2][0]: expected a level above that of the row before",
    ],
    [
      "basin: { shape: table, table: [[0 mm, 3 L], [9 mm, 1 L]] }",
      "basin.table[1][1]: expected a volume above that of the row before",
    ],
    [`${basin}pump: { curve: [[0 gpm, 25 ft]] }`, "pump.curve: expected a list with at least 2 entries, found 1"],
    [`${basin}pump: { curve: [[0 gpm, 25 ft], [0 gpm, 20 ft]] }`, "pump.curve[1][0]: expected a flow above"],
    [`${basin}pump: { curve: [[0 gpm, 25 ft], [9 gpm, 26 ft]] }`, "pump.curve[1][1]: expected a head below"],
    [`${basin}pump: { max_starts_per_hour: 0 }`, "pump.max_starts_per_hour: expected more than 0, found 0"],
    [`${basin}pump: { min_run: 8 }`, "pump.min_run: expected a duration with its unit, such as 6 s"],
    [
      `${basin}discharge: { high_point: 3 m, pipe: { material: pvc-40, nominal: 1.6 in, length: 7 m } }`,
      "discharge.pipe.nominal: expected a size of pvc-40 (",
    ],
    [
      `${basin}discharge: { high_point: 3 m, pipe: { material: pvc40, length: 7 m, nominal: 2 in } }`,
      "did you mean pvc-40?",
    ],
    [
      `${basin}discharge: { high_point: 3 m, pipe: { material: pvc-40, length: 7 m } }`,
      "discharge.pipe: expected either nominal, such as 1-1/2 in, or inside_diameter, found neither",
    ],
    [`${basin}site: { timezone: America/Torronto }`, "site.timezone: expected a time zone's IANA name"],
    [`${basin}site: { name: "" }`, 'site.name: expected a text that is not empty, found ""'],
    [`${basin}server: { port: 80470 }`, "server.port: expected at most 65535, found 80470"],
    [`${basin}design: { inflow_factor: 0.5 }`, "design.inflow_factor: expected at least 1, found 0.5"],
    [`${basin}publish: { mqtt: { url: broker } }`, "publish.mqtt.url: expected a broker's address such as"],
    [`${basin}publish: { mqtt: { url: mqtt://b, topic_prefix: a/# } }`, "publish.mqtt.topic_prefix: expected a topic"],
    [
      `${basin}publish: { mqtt: { url: mqtt://b, password: x } }`,
      "publish.mqtt: expected a username with the password",
    ],
    [`${basin}recording: { columns: { level_m: a, level_ft: b } }`, "recording.columns.level_ft: expected only one of"],
    [`${basin}recording: { missing: [-9999] }`, "recording.missing[0]: expected a text, found -9999"],
    [`${basin}sources: [{ kind: gpoi, name: a }]`, 'found "gpoi"; did you mean gpio?'],
    [
      `${basin}sources: [{ kind: replay, name: a, file: b, speed: 0 }]`,
      "sources[0].speed: expected at least 1, found 0",
    ],
    [
      `${basin}sources: [{ kind: replay, name: a, file: b }, { kind: replay, name: a, file: c }]`,
      'sources[1].name: expected a name that no other source has, found "a" again',
    ],
    [
      `${basin}sources: [{ kind: simulated, name: a, start_time: tomorrow }]`,
      'sources[0].start_time: expected a time in ISO 8601 with its offset, such as 2026-03-04T06:10:00Z, found "tomorrow"',
    ],
    [`${basin}stores: {}`, "stores: unknown key; did you mean store?"],
  ])("says what is wrong with %j", (text, expected) => {
    expect(rejected(text).join("\n")).toContain(expected);
  });

  it("reports every problem at once, in the order of the lines", () => {
    const problems = rejected(`site: { display_units: imperial }
basin:
  shape: round
  diametr: 18 in
  start_level: 5 in
  stop_level: 6 in
  depth: 30
pump: { max_starts_per_hour: twenty }
sources:
  - { kind: gpio, name: a, channel: float_on, line: 3 }
  - kind: gpio
    name: b
    channel: float_on
    line: 4
    debounce: 50 s
`);
    expect(problems.map((text) => text.replace("/sites/site.yaml:", "").split(": ").slice(0, 2).join(" "))).toEqual([
      "1 site.display_units",
      "2 basin.diameter",
      "4 basin.diametr",
      "6 basin.stop_level",
      "7 basin.depth",
      "8 pump.max_starts_per_hour",
      "15 sources[1].debounce",
    ]);
  });

  it("does not compare a level that is already wrong", () => {
    expect(rejected("basin: { shape: round, diameter: 18 in, start_level: 14, stop_level: 15 in }")).toHaveLength(1);
  });

  it("names a key that is given twice, and what else is wrong", () => {
    expect(rejected("basin:\n  shape: round\n  diameter: 18 in\n  diameter: 19 in\n  depth: 3\n")).toEqual([
      expect.stringContaining("site.yaml:4: the key diameter stands here a second time"),
      expect.stringContaining("site.yaml:5: basin.depth"),
    ]);
  });

  it.each(["basin: *nowhere\n", "basin: &a [*a]\n"])("turns away the alias of %j", (text) => {
    expect(rejected(text)).toHaveLength(1);
  });

  it("names the line of a fault in the YAML itself", () => {
    expect(rejected("basin:\n  shape: round\n  diameter: [18 in\n")[0]).toMatch(/^\/sites\/site.yaml:\d+: \S/);
  });

  it.each(["", "# only a comment\n", "---\n"])("says that %j is empty", (text) => {
    expect(rejected(text)).toEqual([expect.stringContaining("found an empty file")]);
  });
});

describe("what is not YAML", () => {
  it.each([
    ["basin:\n  shape: round\n  diameter: 18 in\n  diameter: 17 in\n", 4, "the key diameter stands here a second time"],
    ["basin: { shape: round, diameter: 18 in }\n---\nbasin: {}\n", 2, "a second document begins here (---)"],
    ["basin:\n\tshape: round\n", 2, "not YAML: a tab stands in the indentation; expected blanks"],
    ["basin:\n  shape: round\n diameter: 18 in\n", 3, "not YAML: "],
    ["basin: { shape: round\n", 2, "not YAML: the indentation does not fit the lines around it, or a bracket"],
    ["basin: 'round\n", 2, "not YAML: a quote or bracket that was opened is not closed"],
  ])("is said in our own words: %j", (text, line, words) => {
    expect(rejected(text)[0]).toContain(`site.yaml:${line}: ${words}`);
    for (const problem of rejected(text)) expect(problem).not.toMatch(/Map keys|mapping|scalar|flow collection/);
  });
});

describe("checks across keys", () => {
  const site = (rest: string) =>
    `basin: { shape: round, diameter: 18 in, stop_level: 6 in, start_level: 14 in }\n${rest}`;

  it.each(["2 in", "14 in"])("wants the discharge to lead above the start level, not to %s", (high) => {
    const text = site(`discharge: { high_point: ${high}, pipe: { material: pvc-40, nominal: 2 in, length: 9 ft } }`);
    expect(rejected(text)).toEqual([
      expect.stringMatching(
        /^\/sites\/site\.yaml:2: discharge\.high_point: expected more than basin\.start_level, 355\.6 mm \(14 in\), found .*in\)$/,
      ),
    ]);
  });

  it("takes two pumps, the first of which is the pump on duty", () => {
    const text = site(
      "pumps:\n  - { name: Main, max_starts_per_hour: 20, min_run: 8 s }\n  - { start_level: 18 in, stop_level: 7 in }\n",
    );
    const parsed = parseSiteFile(text, "/sites/site.yaml", sourceKinds);
    if (!parsed.ok) throw new Error(parsed.problems.map((problem) => problem.text).join("\n"));
    const { pump, pumps } = parsed.siteFile.site;
    const none = {
      curve: null,
      maxStartsPerHour: null,
      minRun_s: null,
      name: null,
      startLevel_m: null,
      stopLevel_m: null,
    };
    expect(pumps?.[0]).toEqual({ ...none, name: "Main", maxStartsPerHour: 20, minRun_s: 8 });
    expect(pump).toEqual(pumps?.[0]);
    expect(pumps?.[1].startLevel_m).toBeCloseTo(0.4572, 9);
    expect(pumps?.[1].stopLevel_m).toBeCloseTo(0.1778, 9);
  });

  it("knows of no second pump where one is given, or none", () => {
    for (const text of [site("pump: { min_run: 8 s }"), site("")]) {
      const parsed = parseSiteFile(text, "/sites/site.yaml", sourceKinds);
      expect(parsed.ok && "pumps" in parsed.siteFile.site).toBe(false);
    }
  });

  it.each([
    ["pump: {}\npumps: [{}, {}]", "pumps: expected either pump, for one, or pumps, for two, found both"],
    ["pumps: [{}]", "pumps: expected a list with at least 2 entries, found 1"],
    ["pumps: [{}, {}, {}]", "pumps: expected a list with at most 2 entries, found 3"],
    [
      "pumps: [{ name: A }, { name: A }]",
      'pumps[1].name: expected a name that the other pump has not, found "A" again',
    ],
    ["pumps: [{}, { stop_level: 15 in }]", "pumps[1].stop_level: expected less than its start_level, 355.6 mm (14 in)"],
    ["pumps: [{}, { start_level: 5 in }]", "pumps[1].start_level: expected more than its stop_level, 152.4 mm (6 in)"],
    ["pumps: [{}, { min_rum: 8 s }]", "pumps[1].min_rum: unknown key; did you mean min_run?"],
    ["pumps: [{}, { curve: [[0 gpm, 20 ft], [10 gpm, 21 ft]] }]", "pumps[1].curve[1][1]: expected a head below"],
  ])("says what is wrong with %j", (text, expected) => {
    expect(rejected(site(text)).join("\n")).toContain(expected);
  });

  it("gives the figures of a curve and of a table that turn back", () => {
    expect(rejected(site("pump: { curve: [[0 gpm, 20 ft], [10 gpm, 21 ft], [10 gpm, 5 ft]] }"))).toEqual([
      expect.stringContaining("expected a head below that of the point before, 6.096 m (20 ft), found 6.401 m (21 ft)"),
      expect.stringContaining(
        "expected a flow above that of the point before, 37.85 L/min (10 gpm), found 37.85 L/min",
      ),
    ]);
    expect(rejected("basin: { shape: table, table: [[0 in, 0 gal], [8 in, 5 gal], [9 in, 4 gal]] }")).toEqual([
      expect.stringContaining("expected a volume above that of the row before, 18.93 L (5 gal), found 15.14 L (4 gal)"),
    ]);
  });
});

describe("any text at all", () => {
  it("is taken or turned away in single lines, and never throws", () => {
    const word = fc.constantFrom(
      "basin:",
      "shape: round",
      "diameter: 18 in",
      "  ",
      "\n",
      "- ",
      "[",
      "}",
      ": ",
      "&a",
      "*a",
      "!!x",
    );
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.array(word).map((words) => words.join("")),
        ),
        (text) => {
          const parsed = parseSiteFile(text, "site.yaml", sourceKinds);
          for (const { text: line } of parsed.ok ? [] : parsed.problems)
            expect(line).toMatch(/^site\.yaml(:\d+)?: .+$/);
          expect(parsed.ok || parsed.problems.length > 0).toBe(true);
        },
      ),
    );
  });

  it("has levels that are taken exactly when they are in order", () => {
    const level = fc.integer({ min: 1, max: 50 });
    fc.assert(
      fc.property(level, level, level, level, (stop, start, high, overflow) => {
        const levels = `stop_level: ${stop} cm, start_level: ${start} cm, high_level: ${high} cm, overflow_level: ${overflow} cm`;
        const parsed = parseSiteFile(`basin: { shape: round, diameter: 1 m, ${levels} }`, "site.yaml", sourceKinds);
        expect(parsed.ok).toBe(stop < start && start < high && high <= overflow);
      }),
    );
  });
});

function accepted(text: string): SiteFile {
  const parsed = parseSiteFile(text, "/sites/site.yaml", sourceKinds);
  if (!parsed.ok) throw new Error(parsed.problems.map((problem) => problem.text).join("\n"));
  return parsed.siteFile;
}

function rejected(text: string): string[] {
  const parsed = parseSiteFile(text, "/sites/site.yaml", sourceKinds);
  expect(parsed.ok).toBe(false);
  return parsed.ok ? [] : parsed.problems.map((problem) => problem.text);
}
