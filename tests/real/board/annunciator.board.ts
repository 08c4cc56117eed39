// The annunciator on the kernel's own GPIO lines: what the far side of the line sees, from the first moment to the last.
// Runs inside a virtual board (run.sh), by Node's own test runner. Waits are long: the board's processor is emulated.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { afterEach, beforeEach, describe, it } from "node:test";
import { annunciator } from "../../../daemon/alarms/channels/annunciator.ts";
import type { OpenChannel, OutgoingMessage } from "../../../daemon/alarms/channels/channel.ts";
import { until } from "../until.ts";

const chip = "bell";
const sysfs = "/sys/class/gpio";
const never = new AbortController().signal;

let horn: OpenChannel | undefined;
let log: string[];

beforeEach(() => {
  simulator("add", chip, "4");
  log = [];
});
afterEach(async () => {
  await horn?.close();
  horn = undefined;
  if (folderOfChip() !== undefined) simulator("remove", chip);
});

async function open(active_low = false): Promise<OpenChannel> {
  const config = annunciator.config.parse({ kind: "annunciator", name: "horn", active_low });
  horn = await annunciator.open(config, {
    ...{ siteName: "Hill House", addresses: [`${chip}/2`], baseFolder: "/" },
    beside: (ending) => `/tmp/${ending}`,
    now_s: () => performance.now() / 1000,
    log: (line) => log.push(line),
    onReply() {},
    onReceipt() {},
  });
  return horn;
}

function message(occurrence: string): OutgoingMessage {
  return {
    ...{ key: "a-1", to: `${chip}/2`, priority: "high", subject: "", text: "", body: "", link: null },
    ...{ maybeRepeated: false, data: { alarms: [{ occurrence, kind: "raised" }] } },
  };
}

function simulator(...words: string[]): string {
  return execFileSync("board-sim", ["gpio", ...words], { encoding: "utf8" }).trim();
}

function folderOfChip(): string | undefined {
  return readdirSync(sysfs)
    .filter((name) => name.startsWith("gpiochip"))
    .map((name) => `${sysfs}/${name}`)
    .find((folder) => readFileSync(`${folder}/label`, "utf8").trim() === chip);
}

const number = () => Number(readFileSync(`${folderOfChip()}/base`, "utf8")) + 2;
const isTaken = () => readdirSync(sysfs).includes(`gpio${number()}`);
const level = () => simulator("get", chip, "2");

describe("annunciator on a real kernel", () => {
  it("takes its line off, sounds on and off until somebody knows, and gives it back", async () => {
    const at = await open();
    assert.equal(level(), "0");
    assert.deepEqual(await at.send(message("high-water-1"), never), { is: "delivered" });
    for (const wanted of ["1", "0", "1"]) await until(`the line is at ${wanted}`, () => level() === wanted);
    at.silence?.(["high-water-1"]);
    assert.equal(level(), "0");
    await at.close();
    assert.ok(!isTaken());
  });

  it("is off while its line is high, where that is how it is wired", async () => {
    const at = await open(true);
    assert.equal(level(), "1");
    await at.send(message("high-water-1"), never);
    await until("it sounds", () => level() === "0");
    at.silence?.(["high-water-1"]);
    assert.equal(level(), "1");
  });

  it("is silent at the start on a line that a killed daemon left on, and goes on where it is told to", async () => {
    writeFileSync(`${sysfs}/export`, String(number()));
    writeFileSync(`${sysfs}/gpio${number()}/direction`, "high");
    assert.equal(level(), "1");
    const at = await open();
    assert.equal(level(), "0");
    at.resume?.(`${chip}/2`, "high-water-1", "high");
    await until("it goes on", () => level() === "1");
  });

  it("leaves alone a line that is an input", async () => {
    writeFileSync(`${sysfs}/export`, String(number()));
    const at = await open();
    assert.match(at.health().problem ?? "", /in use as an input/);
    assert.match(JSON.stringify(await at.send(message("high-water-1"), never)), /"failed".*in use as an input/);
    assert.equal(readFileSync(`${sysfs}/gpio${number()}/direction`, "utf8").trim(), "in");
    writeFileSync(`${sysfs}/unexport`, String(number()));
  });

  it("says that the chip is gone, and lives on", async () => {
    const at = await open();
    simulator("remove", chip);
    const outcome = await at.send(message("high-water-1"), never);
    assert.equal(outcome.is, "failed");
    assert.notEqual(at.health().problem, null);
  });
});
