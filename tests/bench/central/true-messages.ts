// What a board truly says, from the program's own demo: site, summary, health, situation and cycle in their full size, so
// that a simulated board's messages weigh what real ones do.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import type { Situation } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { ReportSummary } from "../../../analysis/report/report.ts";
import type { BasinHealth, CyclesAnswer, LiveState, SiteInfo } from "../../../daemon/server/api-types.ts";

export interface TrueMessages {
  readonly site: SiteInfo;
  readonly summary: ReportSummary;
  readonly health: BasinHealth;
  readonly situation: Situation;
  readonly cycle: Cycle;
}

const program = fileURLToPath(new URL("../../../daemon/undercroft.js", import.meta.url));
const enoughCycles = 30;

export async function trueMessages(): Promise<TrueMessages> {
  const child = spawn(process.execPath, [program, "demo", "--speed", "10000", "--port", "0"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  try {
    const url = await addressSaidBy(child.stdout);
    for (;;) {
      await sleep(250);
      const state = await read<LiveState>(url, "api/state");
      const { from_s = 0, to_s = 0 } = state.span ?? {};
      const { cycles } = await read<CyclesAnswer>(
        url,
        `api/cycles?from_s=${from_s}&to_s=${to_s}&limit=${enoughCycles}`,
      );
      const cycle = cycles.find(
        ({ inflow, pumpRate, rest_s }) => inflow !== null && pumpRate !== null && rest_s !== null,
      );
      if (cycles.length < enoughCycles || cycle === undefined) continue;
      const { situation, sources, store, wallStep_s, span } = state;
      const [site, summary] = await Promise.all([
        read<SiteInfo>(url, "api/site"),
        read<ReportSummary>(url, "api/summary"),
      ]);
      const health = { sources, store, wallStep_s, span };
      return { site, summary, health, situation: { ...situation, openFindings: [] }, cycle };
    }
  } finally {
    child.kill();
  }
}

async function addressSaidBy(output: NodeJS.ReadableStream): Promise<string> {
  for await (const line of createInterface({ input: output })) {
    const url = /http:\S+/.exec(line)?.[0];
    if (url === undefined) continue;
    output.resume();
    return url;
  }
  throw new Error("the demo ended before it said where its page is");
}

async function read<Answer>(url: string, path: string): Promise<Answer> {
  const answer = await fetch(new URL(path, url));
  if (!answer.ok) throw new Error(`${path}: status ${answer.status}: ${await answer.text()}`);
  return (await answer.json()) as Answer;
}
