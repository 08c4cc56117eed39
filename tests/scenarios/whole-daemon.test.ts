// The program as a person starts it: its own process, a simulated basin, the page's API; stopped, killed, started again.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { CyclesAnswer, LiveState, SiteInfo } from "../../daemon/server/api-types.ts";
import { until } from "../real/until.ts";

const program = fileURLToPath(new URL("../../daemon/undercroft.js", import.meta.url));
let folder: string;
const running = new Set<ChildProcess>();

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "whole-daemon-"));
  writeFileSync(
    join(folder, "site.yaml"),
    `site: { name: Scenario house, timezone: UTC }
basin: { shape: round, diameter: 18 in, depth: 30 in, start_level: 14 in, stop_level: 6 in, high_level: 20 in }
pump: { curve: [[0 gpm, 24 ft], [20 gpm, 14 ft], [31 gpm, 0 ft]] }
discharge: { high_point: 9 ft, pipe: { material: pvc-40, nominal: 1-1/2 in, length: 24 ft } }
sources: [{ kind: simulated, name: House, speed: 3000, seed: 7 }]
server: { port: 0 }
`,
  );
});
afterEach(() => {
  for (const child of running) child.kill("SIGKILL");
  running.clear();
  rmSync(folder, { recursive: true, force: true });
});

function undercroft(...args: string[]) {
  const child = spawn(process.execPath, [program, ...args], {
    cwd: folder,
    env: { ...process.env, TMPDIR: folder },
    stdio: ["ignore", "pipe", "pipe"],
  });
  running.add(child);
  const out: string[] = [];
  const errors: string[] = [];
  createInterface({ input: child.stderr }).on("line", (line) => errors.push(line));
  const lines = createInterface({ input: child.stdout });
  lines.on("line", (line) => out.push(line));
  const url = new Promise<string>((resolve) => {
    lines.on("line", (line) => {
      const found = /http:\S+/.exec(line)?.[0];
      if (found !== undefined) resolve(found);
    });
  });
  const ended = new Promise<number | null>((resolve) => {
    child.on("close", (code) => {
      running.delete(child);
      resolve(code);
    });
  });
  return { child, out, errors, url, ended };
}

async function get<Answer>(url: string): Promise<Answer> {
  const answer: Answer = await (await fetch(url)).json();
  return answer;
}

async function settledCycles(url: string, least: number): Promise<readonly Cycle[]> {
  let cycles: readonly Cycle[] = [];
  await until(`more than ${least} cycles`, async () => {
    ({ cycles } = await get<CyclesAnswer>(`${url}api/cycles`));
    return cycles.length > least;
  });
  return cycles.slice(1); // the newest is still to be settled
}

describe("the daemon as a process", () => {
  it("watches a basin, stops on a signal and carries on where it was", async () => {
    const first = undercroft("run", "--site", "site.yaml");
    const url = await first.url;
    expect((await get<SiteInfo>(`${url}api/site`)).playing).toBe("simulated");
    const cycles = await settledCycles(url, 3);
    first.child.kill("SIGTERM");
    expect(await first.ended).toBe(0);
    expect(first.out.at(-1)).toBe("Stopped.");

    const second = undercroft("run", "--site", "site.yaml");
    const again = await get<CyclesAnswer>(`${await second.url}api/cycles?limit=10000`);
    expect(again.cycles).toEqual(expect.arrayContaining([...cycles]));
    const { sources, span } = await get<LiveState>(`${await second.url}api/state`);
    expect(sources[0]?.rejected).toBe(0);
    expect(span?.from_s).toBeLessThan(cycles.at(-1)?.startedAt_s ?? 0);
  });

  it("loses no finished cycle when it is killed, and a rebuild finds nothing to change", async () => {
    const first = undercroft("run", "--site", "site.yaml");
    const cycles = await settledCycles(await first.url, 3);
    first.child.kill("SIGKILL");
    await first.ended;

    const second = undercroft("run", "--site", "site.yaml");
    const url = await second.url;
    expect(second.out[0]).toMatch(
      /^store: \d+ readings analysed again, (those after the last checkpoint|the whole record)$/,
    );
    const after = await get<CyclesAnswer>(`${url}api/cycles?limit=10000`);
    expect(after.cycles).toEqual(expect.arrayContaining([...cycles]));
    await settledCycles(url, after.cycles.length + 2);
    second.child.kill("SIGINT");
    expect(await second.ended).toBe(0);

    const rebuilt = undercroft("rebuild", "--site", "site.yaml");
    expect(await rebuilt.ended).toBe(0);
    expect(rebuilt.out.slice(1).map((line) => line.replace(/\d+, /, "n, "))).toEqual([
      "cycles: n, all as before",
      "stretches of inflow: n, all as before",
      "findings: n, all as before",
    ]);
  });

  it("refuses in one line to be the second on a record, or on a port", async () => {
    const first = undercroft("run", "--site", "site.yaml");
    const url = await first.url;
    const second = undercroft("run", "--site", "site.yaml");
    expect(await second.ended).toBe(2);
    expect(second.errors).toHaveLength(1);
    expect(second.errors[0]).toContain("site.sqlite");

    const { port } = new URL(url);
    const files = readdirSync(folder);
    const third = undercroft("run", "--site", "site.yaml", "--store", "other.sqlite", "--port", port);
    expect(await third.ended).toBe(2);
    expect(third.errors).toEqual([
      `server.port: ${port} is taken by another program on 127.0.0.1; stop it, or choose another with --port`,
    ]);
    expect(readdirSync(folder)).toEqual(files);
  });

  it("rebuilds no record that is not there, and makes none", async () => {
    const files = readdirSync(folder);
    const rebuilt = undercroft("rebuild", "--site", "site.yaml", "--store", "typo.sqlite");
    expect(await rebuilt.ended).toBe(2);
    expect(rebuilt.errors).toEqual([expect.stringMatching(/typo\.sqlite: no such record; expected /)]);
    expect(readdirSync(folder)).toEqual(files);
  });

  it("says every problem of a site file and starts nothing", async () => {
    const text = readFileSync(join(folder, "site.yaml"), "utf8");
    writeFileSync(join(folder, "bad.yaml"), text.replace("14 in", "14").replace("speed: 3000", "speed: 0"));
    const bad = undercroft("run", "--site", "bad.yaml");
    expect(await bad.ended).toBe(2);
    expect(bad.errors).toHaveLength(2);
    expect(bad.errors[0]).toMatch(/^bad\.yaml:2: basin\.start_level: /);
    expect(bad.out).toEqual([]);
  });

  it("runs the demo without a site file, marks it as invented and throws its record away", async () => {
    const demo = undercroft("run", "--port", "0");
    const url = await demo.url;
    expect(demo.out.join("\n")).toContain("invented");
    expect((await get<SiteInfo>(`${url}api/site`)).invented).toBe(true);
    const faster = await fetch(`${url}api/speed`, {
      method: "PUT",
      headers: { "content-type": "application/json" },
      body: '{"speed":2000}',
    });
    expect(await faster.json()).toEqual({ speed: 2000 });
    await settledCycles(url, 1);
    const records = () => readdirSync(folder).filter((name) => name.startsWith("undercroft-demo-"));
    expect(records()).toHaveLength(1);
    demo.child.kill("SIGINT");
    expect(await demo.ended).toBe(0);
    expect(records()).toEqual([]);
  });
});
