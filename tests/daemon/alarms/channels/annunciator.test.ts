// A sounder on a line of the test's own, by a clock that the test turns.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Direction, Edge, Options } from "onoff";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openAnnunciator } from "../../../../daemon/alarms/channels/annunciator.ts";
import type { OpenChannel } from "../../../../daemon/alarms/channels/channel.ts";
import { loadSiteFile } from "../../../../daemon/config/load-site-file.ts";
import { type TurnedClock, turnedClock } from "../turned-clock.ts";
import { listeningChannel, message } from "./listening-channel.ts";

let folder: string;
let clock: TurnedClock;
let wire: { level: 0 | 1; fault: Error | null; taken: unknown[]; released: number; on: number[] };
const never = new AbortController().signal;

class FakeOutput {
  constructor(number: number, direction: Direction, _edge?: Edge, options?: Options) {
    wire.taken.push({ number, direction, activeLow: options?.activeLow });
  }
  writeSync(value: 0 | 1): void {
    if (wire.fault !== null) throw wire.fault;
    if (value === 1 && wire.level === 0) wire.on.push(clock.now_s());
    wire.level = value;
  }
  direction = () => "out" as const;
  unexport(): void {
    wire.released++;
  }
}

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-annunciator-"));
  mkdirSync(join(folder, "gpiochip512"));
  for (const [file, text] of Object.entries({ label: "pit", base: "512", ngpio: "4" }))
    writeFileSync(join(folder, "gpiochip512", file), text);
  writeFileSync(join(folder, "export"), "");
  clock = turnedClock(0);
  wire = { level: 0, fault: null, taken: [], released: 0, on: [] };
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function open(addresses = ["pit/2"], active_low = false): Promise<OpenChannel> {
  const { context } = listeningChannel(folder, { addresses });
  const host = { folder, loadDriver: async () => FakeOutput, schedule: clock.schedule };
  return openAnnunciator({ kind: "annunciator", name: "horn", active_low }, context, host);
}

const about = (occurrence: string, priority: "high" | "medium" | "low" = "high", kind = "raised") => ({
  ...message,
  ...{ to: "pit/2", priority, data: { alarms: [{ occurrence, kind }] } },
});

describe("the annunciator", () => {
  it("takes its line at the start, off, by chip and offset or by number", async () => {
    await open(["pit/2", "513"], true);
    expect(wire.taken).toEqual([
      { number: 514, direction: "high", activeLow: true },
      { number: 513, direction: "high", activeLow: true },
    ]);
    expect(wire.level).toBe(0);
  });

  it("sounds by priority from the message until somebody knows", async () => {
    const horn = await open();
    expect(await horn.send(about("high-water-1"), never)).toEqual({ is: "delivered" });
    await clock.turnTo(3.2);
    expect(wire.on).toEqual([0, 1, 2, 3]);
    horn.silence?.(["another-7"]);
    expect(wire.level).toBe(1);
    horn.silence?.(["high-water-1"]);
    await clock.turnTo(60);
    expect([wire.level, wire.on.length]).toEqual([0, 4]);
  });

  it("sounds for the most urgent of several, and on for the rest", async () => {
    const horn = await open();
    await horn.send(about("service-due-1", "medium"), never);
    await horn.send(about("high-water-1"), never);
    horn.silence?.(["high-water-1"]);
    wire.on = [];
    await clock.turnTo(10.2);
    expect(wire.on).toEqual([5, 10]);
    await horn.send(about("service-due-1", "medium", "over"), never);
    await clock.turnTo(60);
    expect([wire.level, wire.on.length]).toEqual([0, 2]);
  });

  it("is heard for a moment at a test, and when what is known gets worse", async () => {
    const horn = await open();
    await horn.send({ ...about(""), data: { alarms: [{ occurrence: "", kind: "test" }] } }, never);
    await clock.turnTo(20);
    expect([wire.level, wire.on]).toEqual([0, [0, 1, 2]]);
    horn.silence?.(["high-water-1"]);
    await horn.send(about("high-water-1", "high", "worse"), never);
    await clock.turnTo(60);
    expect([wire.level, wire.on.length]).toEqual([0, 6]);
  });

  it("goes on after a restart, also where its line is there only later, until somebody knows", async () => {
    wire.fault = Object.assign(new Error("ENODEV"), { code: "ENODEV" });
    const horn = await open();
    horn.resume?.("pit/2", "high-water-1", "high");
    await clock.turnTo(4);
    expect(horn.health().problem).not.toBeNull();
    wire.fault = null;
    await clock.turnTo(12.2);
    expect(wire.on).toEqual([10, 11, 12]);
    expect(horn.health().problem).toBeNull();
    horn.silence?.(["high-water-1"]);
    horn.resume?.("pit/2", "high-water-1", "high");
    await clock.turnTo(60);
    expect([wire.level, wire.on.length]).toEqual([0, 3]);
  });

  it("leaves an input alone, for a float's contact may tie it to ground", async () => {
    mkdirSync(join(folder, "gpio514"));
    writeFileSync(join(folder, "gpio514", "direction"), "in\n");
    const horn = await open();
    const reason =
      'GPIO line 2 of chip "pit": in use as an input, by a source or another program; give the annunciator a line of its own';
    expect(horn.health().problem).toBe(reason);
    expect(await horn.send(about("high-water-1"), never)).toEqual({ is: "failed", reason, again: true });
    expect(wire.taken).toEqual([]);
  });

  it("says that the line cannot be written, and is well again when it can", async () => {
    const horn = await open();
    wire.fault = Object.assign(new Error("ENODEV"), { code: "ENODEV" });
    expect(await horn.send(about("high-water-1"), never)).toMatchObject({ is: "failed", again: true });
    expect(horn.health().problem).not.toBeNull();
    wire.fault = null;
    expect(await horn.send(about("high-water-1"), never)).toEqual({ is: "delivered" });
    expect(horn.health().problem).toBeNull();
  });

  it("is off and gives its line back when it is closed", async () => {
    const horn = await open();
    await horn.send(about("high-water-1"), never);
    await horn.close();
    await horn.close();
    await clock.turnTo(60);
    expect([wire.level, wire.released]).toEqual([0, 1]);
  });
});

describe("a site file", () => {
  it("gives no annunciator the line of a float", () => {
    const path = join(folder, "site.yaml");
    writeFileSync(
      path,
      `basin: { shape: round, diameter: 18 in, depth: 24 in }
sources:
  - { kind: gpio, name: high float, channel: high_float, chip: pit, offset: 1 }
alarms:
  channels: [{ kind: annunciator, name: horn }]
  contacts:
    - { name: Hall, reach: [{ by: horn, to: pit/2 }] }
    - { name: Cellar, reach: [{ by: horn, to: pit/1 }] }
`,
    );
    const parsed = loadSiteFile(path);
    expect(parsed.ok ? [] : parsed.problems.map(({ message }) => message)).toEqual([
      'expected a line that no source uses, found that of the source "high float"',
    ]);
  });
});
