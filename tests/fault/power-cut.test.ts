// The power goes at any moment: what the device had got by then, and nothing that was only in the system's memory, is
// mounted again. Not shown here: a card that says it has written what it has not.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { describe, expect, it, onTestFinished } from "vitest";
import { checkRecord } from "../../daemon/stores/sqlite/upkeep.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startChild } from "./children.ts";
import { mayMakeDisks, neededDisk, type SmallDisk } from "./small-disk.ts";

const always = { from_s: 0, to_s: 1e12 };
const cuts = 8;

/** Held still while its disk is copied, as by the cut; what it had said by then is acknowledged. */
async function heldStill(pid: number): Promise<void> {
  process.kill(pid, "SIGSTOP");
  while (!/\) T /.test(readFileSync(`/proc/${pid}/stat`, "utf8"))) await sleep(1);
  await sleep(30); // what it said comes through the pipe
}

function acknowledged(lines: readonly string[]): number[] {
  return lines.filter((line) => line.startsWith("cycle ")).map((line) => Number(line.split(" ")[1]));
}

/** Opens what the cut left: every acknowledged cycle, and all readings before it, in their order. */
function expectAll(disk: SmallDisk, cycles: readonly number[]): void {
  const path = join(disk.folder, "store.db");
  const store = openSqliteStore(path);
  const levels = [...store.readings()].map(({ level_m }) => level_m);
  expect(levels).toEqual(Array.from({ length: levels.length }, (_, n) => n));
  expect(levels.length).toBeGreaterThan(cycles.at(-1) ?? 0);
  const kept = new Set(store.cycles(always, 1e6).map(({ startedAt_s }) => startedAt_s));
  expect(cycles.filter((n) => !kept.has(n))).toEqual([]);
  store.close();
  expect(checkRecord(path).faults).toEqual([]);
}

describe.runIf(mayMakeDisks())("a power cut", () => {
  it(`costs no acknowledged cycle, and no reading before one, ${cuts} times over`, async () => {
    const disk = neededDisk(24);
    onTestFinished(disk.remove);
    const child = startChild("append-until-killed.ts", join(disk.folder, "store.db"), "0.01");
    await child.heard("cycle");
    for (let cut = 0; cut < cuts; cut++) {
      await sleep(50 + Math.random() * 200);
      await heldStill(child.pid);
      const cycles = acknowledged(child.lines);
      const after = disk.afterPowerCut();
      process.kill(child.pid, "SIGCONT");
      try {
        expectAll(after, cycles);
      } finally {
        after.remove();
      }
    }
    await child.kill();
  });
});
