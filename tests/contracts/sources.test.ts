// One suite that every kind of source passes. A new kind adds its case here; the first test notices when it does not.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { channels } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import { explainIssue } from "../../daemon/config/explain-issue.ts";
import { gpio, openGpio } from "../../daemon/sources/gpio.ts";
import { sourceKinds } from "../../daemon/sources/index.ts";
import { mqtt } from "../../daemon/sources/mqtt.ts";
import { replay } from "../../daemon/sources/replay.ts";
import { schedule } from "../../daemon/sources/schedule.ts";
import { simulated } from "../../daemon/sources/simulated.ts";
import type { OpenSource, SourceContext, SourceKind } from "../../daemon/sources/source.ts";
import { bareSite, listeningContext } from "../daemon/sources/listening-context.ts";
import { until } from "../real/until.ts";
import { type SmallBroker, startSmallBroker } from "./small-broker.ts";

interface SourceCase {
  readonly kind: SourceKind;
  /** Keys of one that works in the test's folder; `name` and `kind` come by themselves. */
  keys(): Record<string, unknown>;
  /** Keys that are refused, with what is said about them. */
  readonly wrong: Record<string, unknown>;
  readonly problem: string;
  /** In place of the kind's own, where that needs a device. */
  open?(config: unknown, context: SourceContext): Promise<OpenSource>;
}

let folder: string;
let broker: SmallBroker;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-contract-"));
  broker = await startSmallBroker("pit/level", (n) => String(100 + n));
  const rows = Array.from({ length: 600 }, (_, n) => `${1_772_582_400_000 + n * 1000},${n}`);
  writeFileSync(join(folder, "week.csv"), `time_ms,level_mm\n${rows.join("\n")}\n`);
  mkdirSync(join(folder, "gpiochip0"));
  writeFileSync(join(folder, "export"), "");
  for (const [file, text] of Object.entries({ label: "pit", base: "0", ngpio: "4" })) {
    writeFileSync(join(folder, "gpiochip0", file), text);
  }
});
afterAll(() => {
  broker.close();
  rmSync(folder, { recursive: true, force: true });
});

/** A house of our own invention, with all that a source may ask of it. */
const site: Site = {
  ...bareSite,
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 7.6 },
      { flow_m3s: 0.0013, head_m: 6 },
      { flow_m3s: 0.0033, head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 7 },
    fittings: [{ kind: "elbow-90", count: 3 }],
  },
};

class StillLine {
  readSync = () => 1 as const;
  watch = () => {};
  unexport = () => {};
  direction = () => "in" as const;
  activeLow = () => false;
}

const cases: readonly SourceCase[] = [
  {
    kind: replay,
    keys: () => ({ file: "week.csv", speed: 100 }),
    wrong: { file: "week.csv", speed: 0 },
    problem: "speed: expected at least 1, found 0",
  },
  {
    kind: simulated,
    keys: () => ({ speed: 1000 }),
    wrong: { sample_period: 1 },
    problem:
      "sample_period: expected a duration with its unit, such as 6 s (units: ms, s, min, h, d), found the bare number 1",
  },
  {
    kind: mqtt,
    keys: () => ({ url: broker.url, channels: { level: { topic: "pit/level", unit: "mm" } } }),
    wrong: { url: "mqtt://broker.local", channels: { level: { topic: "pit/level", unit: "furlong" } } },
    problem: 'channels.level.unit: expected one of mm, cm, m, in, ft, found "furlong"',
  },
  {
    kind: gpio,
    keys: () => ({ channel: "high_float", chip: "pit", offset: 2 }),
    wrong: { channel: "high_float", line: -1 },
    problem: "line: expected at least 0, found -1",
    open: (config, context) =>
      openGpio(gpio.config.parse(config), context, { folder, loadDriver: async () => StillLine, schedule }),
  },
];

describe("the list of sources", () => {
  it("has a case in this suite for each", () => {
    expect(cases.map(({ kind }) => kind)).toEqual(expect.arrayContaining([...sourceKinds]));
    expect(new Set(sourceKinds.map(({ kind }) => kind)).size).toBe(sourceKinds.length);
  });
});

describe.each(cases)("source $kind.kind", ({ kind, keys, wrong, problem, open }) => {
  const whole = (more: Record<string, unknown>) => ({ kind: kind.kind, name: "contract", ...more });
  const problems = (more: Record<string, unknown>) => {
    const { error } = kind.config.safeParse(whole(more), { error: explainIssue });
    return (error?.issues ?? []).map(({ path, message }) => `${path.join(".")}: ${message}`);
  };

  it("opens, gives readings of finite time and known channels, and is quiet and leaves nothing when it is closed", async () => {
    const before = pending();
    const { context, heard } = listeningContext({ baseFolder: folder, site });
    const source =
      open === undefined
        ? await kind.open(kind.config.parse(whole(keys())), context)
        : await open(whole(keys()), context);
    await until("a reading", () => heard.readings.length > 0);
    await source.close();
    const count = heard.readings.length;
    for (const reading of heard.readings) {
      expect(Number.isFinite(reading.time_s)).toBe(true);
      expect(["time_s", ...channels]).toEqual(expect.arrayContaining(Object.keys(reading)));
    }
    await until("no timer and no connection is left", () => pending() <= before);
    await sleep(30);
    expect(heard.readings).toHaveLength(count);
    expect(heard.failures).toEqual([]);
    expect(heard.rejections).toEqual([]);
  });

  it("refuses a wrong value with its key, what is expected and what was found", () => {
    expect(problems(wrong)).toEqual([problem]);
  });

  it("refuses an unknown key and a missing name", () => {
    expect(problems({ ...keys(), colour: "blue" })).toEqual([expect.stringContaining("unknown key")]);
    expect(problems({ ...keys(), name: undefined })).toEqual(["name: expected a text, found nothing"]);
  });

  it("says whether it plays a time of its own", () => {
    expect(kind.invented ?? false).toBe(kind.kind === "simulated");
  });
});

/** Timers and connections of this process. */
function pending(): number {
  return process.getActiveResourcesInfo().filter((name) => name === "Timeout" || name.startsWith("TCP")).length;
}
