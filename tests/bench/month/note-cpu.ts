// Loaded before a program that is measured: at its end notes how much processor time it took, in all its threads. On a
// machine that does other things beside, that says more than the clock.
// Run: NOTE_CPU=FILE node --import ./tests/bench/month/note-cpu.ts PROGRAM

import { writeFileSync } from "node:fs";
import { isMainThread } from "node:worker_threads";

const file = process.env.NOTE_CPU;
if (isMainThread && file !== undefined) {
  process.on("exit", () => {
    const { user, system } = process.cpuUsage();
    writeFileSync(file, String((user + system) / 1000));
  });
}
