// Where the time of one `analyze` goes, stage by stage, as far as it can be told from outside.

/** All in ms. */
export interface Stages {
  /** Node alone, with nothing to run. */
  readonly node: number;
  /** `analyze` of a recording of a minute: Node, the program, the site file, a report. */
  readonly minute: number;
  /** The analysis of the whole recording once all is compiled, and the first time in a process. */
  readonly warm: number;
  readonly cold: number;
  /** Reading the recording, which `analyze` does in a thread of its own. */
  readonly reading: number;
  readonly whole: number;
}

export function sayStages({ node, minute, warm, cold, reading, whole }: Stages): void {
  const start = minute - node;
  const rest = whole - minute - cold;
  const rows: [string, number, string][] = [
    ["Node itself", node, ""],
    ["the program and the site file", start, "loaded, checked; a first report"],
    ["the analysis", warm, "as quick as once all is compiled"],
    ["… compiling it", cold - warm, "first slower code, then made quick while it runs"],
    ["report, waiting for rows, the rest", rest, "whole process less what stands above"],
  ];
  console.log("\nwhere the time of analyze goes:");
  for (const [what, took_ms, why] of rows) {
    const share = `${((100 * took_ms) / whole).toFixed(0)} %`;
    console.log(`  ${what.padEnd(34)}${took_ms.toFixed(0).padStart(7)} ms ${share.padStart(6)}   ${why}`);
  }
  console.log(`  beside it, in a thread of its own: reading, ${reading.toFixed(0)} ms`);
}
