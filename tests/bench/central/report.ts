// What the bench found, as lines of text. Pure.

import { fitLine } from "../../../analysis/statistics/fit-line.ts";
import { type Ages, type Measured, programs } from "./one-size.ts";

export function* ofSize(result: Measured): Generator<string> {
  const { boards, measured_s, whole_s, counted, levels, alarms, late_ms, troubles } = result;
  const { sent, inDatabase, inView, drilled, wrong } = counted;
  yield `\n${boards} boards, ${whole_s / 60} minutes`;
  yield `  readings sent ${sent.readings}, in the database ${inDatabase.readings}; cycles ${sent.cycles}, ${inDatabase.cycles}; alarms ${sent.alarms}, ${inDatabase.alarms}`;
  yield `  in the central view ${inView.rows} basins, the last level of ${inView.lastLevels}; through it ${drilled.cycles} of ${drilled.sent} cycles of ${drilled.boards} basins`;
  yield `  level, from the board to the page: ${ages(levels)}`;
  yield `  alarm, from the board to the page: ${ages(alarms)}`;
  for (const program of programs) {
    const { idle, then, last } = result;
    const per_ms = (result.cpu_s[program] / measured_s / boards) * 1e6;
    const share = (100 * result.cpu_s[program]) / measured_s;
    yield `  ${program.padEnd(8)} processor ${share.toFixed(1)} % of a core, ${per_ms.toFixed(0)} µs per board and second; resident ${idle[program].resident_mb.toFixed(0)} MB before, ${then[program].resident_mb.toFixed(0)} after ${measured_s / 60} min, ${last[program].resident_mb.toFixed(0)} at the end`;
  }
  yield `  page ${(result.pageBytes / whole_s / 1000).toFixed(2)} kB/s; forwarded ${(result.forwarded_bytes / Math.max(1, sent.readings)).toFixed(0)} bytes a reading; database on disk ${(result.disk_bytes / 1e6).toFixed(1)} MB; the boards' process was late by ${late_ms.toFixed(0)} ms at most; enrolled in ${result.enrolled_s.toFixed(1)} s`;
  for (const line of [...wrong, ...troubles]) yield `  ! ${line}`;
}

function ages({ count, p50_ms, p99_ms, most_ms }: Ages): string {
  return `p50 ${p50_ms.toFixed(0)} ms, p99 ${p99_ms.toFixed(0)} ms, at most ${most_ms.toFixed(0)} ms (${count})`;
}

/** Exponents b of cost = a·boards^b; 1: a board costs the same however many there are. Of three sizes or more. */
export function* growth(results: readonly Measured[]): Generator<string> {
  if (results.length < 3) return;
  yield `\nGrowth over ${results.map(({ boards }) => boards).join(", ")} boards, as exponents of the number of boards`;
  const line = (what: string, cost: (result: Measured) => number) =>
    `  ${what.padEnd(34)} ${exponent(results, cost).toFixed(2)}   (${results.map((result) => cost(result).toFixed(1)).join(", ")})`;
  const all = (cost: (program: (typeof programs)[number]) => number) =>
    programs.reduce((sum, program) => sum + cost(program), 0);
  yield line("processor time, all, s", (result) => all((program) => result.cpu_s[program]));
  for (const program of programs) yield line(`processor time, ${program}, s`, (result) => result.cpu_s[program]);
  yield line("memory, all, MB", (result) => all((program) => result.then[program].resident_mb));
  yield line("memory beyond none, all, MB", (result) =>
    all((program) => result.then[program].resident_mb - result.idle[program].resident_mb),
  );
}

function exponent(results: readonly Measured[], cost: (result: Measured) => number): number {
  const logs = results.map((result) => Math.log(Math.max(cost(result), 1e-9)));
  return fitLine(
    results.map(({ boards }) => Math.log(boards)),
    logs,
  ).slope;
}
