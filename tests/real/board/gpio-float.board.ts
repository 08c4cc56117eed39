// The gpio source on the kernel's own GPIO lines, with a simulated far side. Runs inside a virtual board (run.sh), by
// Node's own test runner, which is lighter there. Waits are long: the board's processor is emulated.

import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { afterEach, beforeEach, describe, it } from "node:test";
import { setTimeout as sleep } from "node:timers/promises";
import { gpio } from "../../../daemon/sources/gpio.ts";
import { type RunningSource, runSource } from "../../../daemon/sources/run-source.ts";
import type { SourceReading } from "../../../daemon/sources/source.ts";
import { bareSite } from "../../daemon/sources/listening-context.ts";
import { until } from "../until.ts";

const chip = "pit";
const lines = 4;
const sysfs = "/sys/class/gpio";

let source: RunningSource | undefined;
let readings: SourceReading[];
let log: string[];

beforeEach(() => {
  simulator("add", chip, String(lines));
  readings = [];
  log = [];
});
afterEach(async () => {
  await source?.close();
  source = undefined;
  if (chipFolder() !== undefined) simulator("remove", chip);
});

function listen(keys: Record<string, unknown> = {}): RunningSource {
  const place = "line" in keys ? {} : { chip, offset: 1 };
  const config = gpio.config.parse({ kind: "gpio", name: "high float", channel: "high_float", ...place, ...keys });
  const started = runSource(gpio, config, {
    clock: { now_s: () => performance.now() / 1000 },
    site: bareSite,
    baseFolder: "/",
    onReading: (reading) => readings.push(reading),
    log: (line) => log.push(line),
  });
  source = started;
  return started;
}

async function running(what: RunningSource): Promise<void> {
  await until("the source runs", () => what.health().state === "running" && readings.length > 0);
}

async function refused(what: RunningSource): Promise<string> {
  await until("the source says why not", () => what.health().error !== null);
  return what.health().error ?? "";
}

/** The chip's folder in the kernel's numbered interface. */
function chipFolder(): string | undefined {
  return readdirSync(sysfs)
    .filter((name) => name.startsWith("gpiochip"))
    .map((name) => `${sysfs}/${name}`)
    .find((folder) => readFileSync(`${folder}/label`, "utf8").trim() === chip);
}

function base(): number {
  return Number(readFileSync(`${chipFolder()}/base`, "utf8"));
}

/** The far side of the lines; the program comes with the virtual board. */
function simulator(...words: string[]): string {
  return execFileSync("board-sim", ["gpio", ...words], { encoding: "utf8" }).trim();
}

function pull(level: 0 | 1, offset = 1): void {
  simulator("set", chip, String(offset), String(level));
}

const said = () => readings.map(({ highFloat }) => highFloat);
const exported = (offset = 1) => readdirSync(sysfs).includes(`gpio${base() + offset}`);

describe("gpio source on a real kernel", () => {
  it("says the level at once, then every change", async () => {
    pull(1);
    await running(listen());
    assert.deepEqual(said(), [true]);
    pull(0);
    await until("the fall", () => said().at(-1) === false);
    pull(1);
    await until("the rise", () => said().at(-1) === true);
    assert.deepEqual(said(), [true, false, true]);
  });

  it("turns an active-low line round", async () => {
    await running(listen({ active_low: true }));
    assert.deepEqual(said(), [true]);
    pull(1);
    await until("the change", () => said().at(-1) === false);
  });

  it("makes one change of a contact that bounces, and is not silent while one chatters on", async () => {
    const far = `${simulator("path", chip)}/sim_gpio1/pull`;
    await running(listen({ debounce: "150 ms" }));
    for (let n = 0; n < 9; n++) {
      writeFileSync(far, n % 2 === 0 ? "pull-up" : "pull-down");
      await sleep(5);
    }
    await until("the rise", () => said().at(-1) === true);
    await sleep(500);
    assert.deepEqual(said(), [false, true]);

    const before = readings.length;
    const end_ms = performance.now() + 8000;
    for (let up = false; performance.now() < end_ms && readings.length === before; up = !up) {
      writeFileSync(far, up ? "pull-up" : "pull-down");
      await sleep(up ? 10 : 40);
    }
    assert.ok(readings.length > before, "a line that chatters was silent for 8 s");
  });

  it("repeats itself at least every 10 s on a quiet line", async () => {
    await running(listen());
    await until("two more", () => readings.length >= 3, 25_000);
    const [first, second, third] = readings.map(({ time_s }) => time_s);
    assert.ok((second ?? 0) - (first ?? 0) <= 10.5, `${first} then ${second}`);
    assert.ok((third ?? 0) - (second ?? 0) <= 10.5, `${second} then ${third}`);
  });

  it("notices that the chip was unplugged, and finds it again under another number", async () => {
    const floatSource = listen();
    await running(floatSource);
    simulator("remove", chip);
    const error = await refused(floatSource);
    assert.match(error, /^GPIO line 1 of chip "pit": gone \(ENODEV\)/);
    assert.equal(said().at(-1), null);
    // Another chip takes the first place meanwhile.
    simulator("add", "intruder", "2");
    await until("the chip is missed by its label", () => /expected the label/.test(floatSource.health().error ?? ""));
    simulator("add", chip, String(lines));
    pull(1);
    await until("it is found again", () => floatSource.health().state === "running" && said().at(-1) === true, 20_000);
    assert.match(log.at(-1) ?? "", /^gpio "high float": back after \d+ s$/);
    await floatSource.close();
    simulator("remove", "intruder");
  });

  it("releases the line when it is closed", async () => {
    const floatSource = listen();
    await running(floatSource);
    assert.ok(exported());
    await floatSource.close();
    assert.ok(!exported());
  });

  it("takes over a line that a killed daemon left exported, with its settings wrong", async () => {
    writeFileSync(`${sysfs}/export`, String(base() + 1));
    writeFileSync(`${sysfs}/gpio${base() + 1}/active_low`, "1");
    await running(listen());
    assert.deepEqual(said(), [false]);
  });

  it("explains a number that the kernel does not have", async () => {
    const error = await refused(listen({ line: 17 }));
    assert.match(error, /^GPIO line 17: the kernel has no line of that number \(EINVAL\)/);
    assert.match(error, /give chip and offset instead of line; chips here: .*"pit" \(4 lines, numbers \d+ to \d+\)/);
  });

  it("says that another program holds the line, and takes it when it is free", async () => {
    const device = `/dev/${simulator("chip", chip)}`;
    const holder = spawn("gpiomon", [device, "1"], { stdio: "ignore" });
    await until("the line is held", () => execFileSync("gpioinfo", [device], { encoding: "utf8" }).includes("gpiomon"));
    const floatSource = listen();
    const error = await refused(floatSource);
    holder.kill("SIGKILL");
    assert.equal(
      error,
      'GPIO line 1 of chip "pit": held by another driver or program (EBUSY), which "gpioinfo" names; free it, or use another line',
    );
    await until("it is taken", () => floatSource.health().state === "running", 20_000);
  });
});
