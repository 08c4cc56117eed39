// The API with a month of plausible data and no daemon behind it, for tests of the page and for measuring it. The basin is
// invented: it fills evenly, faster after rain, and is emptied at a steady rate.

import { readFileSync } from "node:fs";
import { createServer, type ServerResponse } from "node:http";
import { extname, join } from "node:path";
import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { LiveState, SiteInfo } from "../../daemon/server/api-types.ts";
import type { LevelSeries, Span } from "../../daemon/stores/store.ts";

const dist = join(import.meta.dirname, "../../dashboard/dist");

const start_m = 0.36;
const stop_m = 0.15;
const area_m2 = 0.159;
const pump_m3s = 1.55e-3;
const day_s = 86_400;

export const siteInfo: SiteInfo = {
  site: {
    name: "Invented house",
    timezone: "America/Toronto",
    displayUnits: "us",
    basin: {
      geometry: { shape: "round", diameter_m: 0.457, occupiedArea_m2: 0.005 },
      depth_m: 0.762,
      startLevel_m: start_m,
      stopLevel_m: stop_m,
      highLevel_m: 0.51,
      overflowLevel_m: 0.762,
    },
    pump: { curve: null, maxStartsPerHour: 20, minRun_s: 8 },
    discharge: null,
    design: { inflowFactor: 1.5 },
  },
  invented: true,
  playing: "simulated",
  version: "0.1.0",
};

/** How the moment differs from a healthy one. */
export type Mood = "calm" | "flood" | "faults";

export interface MockApi {
  readonly url: string;
  readonly record: Span;
  close(): Promise<void>;
}

export async function startMockApi(options: { days?: number; mood?: Mood; port?: number } = {}): Promise<MockApi> {
  const { days = 30, mood = "calm", port = 0 } = options;
  const began_ms = Date.now();
  const record: Span = { from_s: began_ms / 1000 - days * day_s, to_s: began_ms / 1000 };
  const cycles = cyclesOf(record);
  const streams = new Set<ServerResponse>();
  let speed = 60;

  const json = (response: ServerResponse, body: unknown) => {
    response.writeHead(200, { "content-type": "application/json" }).end(JSON.stringify(body));
  };
  const server = createServer((request, response) => {
    const url = new URL(request.url ?? "/", "http://localhost");
    const span = { from_s: Number(url.searchParams.get("from_s")), to_s: Number(url.searchParams.get("to_s")) };
    const points = Number(url.searchParams.get("points"));
    const limit = Number(url.searchParams.get("limit"));
    const state = () => stateAt(Date.now() / 1000, record, cycles, mood, speed);
    switch (url.pathname) {
      case "/api/site":
        return json(response, siteInfo);
      case "/api/state":
        return json(response, state());
      case "/api/level":
        return json(response, levelIn(clip(span, record), points, cycles));
      case "/api/inflow":
        return json(response, { stretches: inflowIn(span, points, cycles) });
      case "/api/cycles":
        return json(response, { cycles: newest(cycles, span, limit) });
      case "/api/findings":
        return json(response, { findings: [...findingsOf(mood, record.to_s), ...past(record)] });
      case "/api/speed":
        request.on("data", (body: Buffer) => {
          speed = JSON.parse(body.toString()).speed;
        });
        request.on("end", () => json(response, { speed }));
        return;
      case "/api/events":
        response.writeHead(200, { "content-type": "text/event-stream" });
        response.write(`event: state\ndata: ${JSON.stringify(state())}\n\n`);
        streams.add(response);
        response.on("close", () => streams.delete(response));
        return;
      default:
        return sendFile(url.pathname, response);
    }
  });
  const timer = setInterval(() => {
    const text = JSON.stringify(stateAt(Date.now() / 1000, record, cycles, mood, speed));
    for (const stream of streams) stream.write(`event: state\ndata: ${text}\n\n`);
  }, 500);
  await new Promise<void>((resolve) => server.listen(port, "127.0.0.1", resolve));
  const address = server.address();
  return {
    url: `http://127.0.0.1:${typeof address === "object" && address ? address.port : port}/`,
    record,
    close() {
      clearInterval(timer);
      for (const stream of streams) stream.end();
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}

/** Slow swell of the ground water with a storm every ten days. */
function inflowAt(time_s: number): number {
  const days = time_s / day_s;
  const sinceStorm = (days % 10) - 3;
  const storm = sinceStorm > 0 ? 4.5e-4 * sinceStorm * 4 * Math.exp(-sinceStorm * 2.2) : 0;
  return 4e-5 * (1.3 + Math.sin(days)) + storm;
}

function cyclesOf(record: Span): Cycle[] {
  const active_m3 = (start_m - stop_m) * area_m2;
  const cycles: Cycle[] = [];
  for (let time_s = record.from_s; ; ) {
    const inflow_m3s = inflowAt(time_s);
    const rest_s = active_m3 / inflow_m3s;
    const run_s = active_m3 / (pump_m3s - inflow_m3s);
    const startedAt_s = time_s + rest_s;
    if (startedAt_s + run_s > record.to_s) return cycles;
    const wobble = Math.sin(cycles.length * 1.7);
    cycles.push({
      startedAt_s,
      stoppedAt_s: startedAt_s + run_s,
      run_s,
      rest_s: cycles.length === 0 ? null : rest_s,
      startLevel_m: start_m,
      stopLevel_m: stop_m,
      inflow: { flow_m3s: inflow_m3s, uFlow_m3s: inflow_m3s * 0.012, degreesOfFreedom: 60, method: "fill-slope" },
      pumpRate: { flow_m3s: pump_m3s * (1 + 0.01 * wobble), uFlow_m3s: 1.8e-5, degreesOfFreedom: 14 },
      drainBack_m3: 3.2e-4 + 5e-5 * wobble,
    });
    time_s = startedAt_s + run_s;
  }
}

/** Index of the last cycle that began at or before a time; −1 before the first. */
function cycleAt(cycles: readonly Cycle[], time_s: number): number {
  let [low, high] = [0, cycles.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((cycles[middle]?.startedAt_s ?? 0) <= time_s) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

function levelAt(cycles: readonly Cycle[], time_s: number): number {
  const i = cycleAt(cycles, time_s);
  const cycle = cycles[i];
  if (cycle && time_s < cycle.stoppedAt_s) {
    return start_m - ((start_m - stop_m) * (time_s - cycle.startedAt_s)) / cycle.run_s;
  }
  const from_s = cycle?.stoppedAt_s ?? time_s;
  const next_s = cycles[i + 1]?.startedAt_s ?? from_s + 1200;
  return stop_m + ((start_m - stop_m) * (time_s - from_s)) / (next_s - from_s);
}

function levelIn(span: Span, points: number, cycles: readonly Cycle[]): LevelSeries {
  const bucket_s = Math.max(1, Math.ceil((span.to_s - span.from_s) / points));
  const series = {
    time_s: [] as number[],
    minimum_m: [] as number[],
    maximum_m: [] as number[],
    mean_m: [] as number[],
  };
  for (let time_s = span.from_s; time_s < span.to_s; time_s += bucket_s) {
    const levels = Array.from({ length: 8 }, (_, i) => levelAt(cycles, time_s + (bucket_s * i) / 8));
    const noise = 0.0012 * Math.sin(time_s * 12.9898);
    series.time_s.push(time_s);
    series.minimum_m.push(Math.min(...levels) - Math.abs(noise));
    series.maximum_m.push(Math.max(...levels) + Math.abs(noise));
    series.mean_m.push(levels.reduce((sum, level) => sum + level, 0) / levels.length + noise);
  }
  return { bucket_s, ...series };
}

function inflowIn(span: Span, points: number, cycles: readonly Cycle[]): InflowStretch[] {
  const within = cycles.filter((cycle) => cycle.stoppedAt_s >= span.from_s && cycle.startedAt_s <= span.to_s);
  const step = Math.max(1, Math.ceil(within.length / points));
  return within
    .filter((_, i) => i % step === 0)
    .map((cycle, i, kept) => ({
      from_s: cycle.startedAt_s - (cycle.rest_s ?? 600),
      to_s: (kept[i + 1]?.startedAt_s ?? cycle.stoppedAt_s) - (kept[i + 1]?.rest_s ?? 0),
      inflow_m3s: cycle.inflow?.flow_m3s ?? 0,
      uInflow_m3s: cycle.inflow?.uFlow_m3s ?? 0,
    }));
}

function newest(cycles: readonly Cycle[], span: Span, limit: number): Cycle[] {
  const within = cycles.filter((cycle) => cycle.stoppedAt_s >= span.from_s && cycle.startedAt_s <= span.to_s);
  return within.reverse().slice(0, limit);
}

function clip(span: Span, record: Span): Span {
  return { from_s: Math.max(span.from_s, record.from_s), to_s: Math.min(span.to_s, record.to_s) };
}

function stateAt(now_s: number, record: Span, cycles: readonly Cycle[], mood: Mood, speed: number): LiveState {
  const last = cycles.at(-1);
  const flood = mood === "flood";
  const phase = (now_s * 0.02) % 1;
  return {
    situation: {
      time_s: now_s - 0.4,
      level_m: flood ? 0.575 : stop_m + (start_m - stop_m) * phase,
      pumpRunning: flood,
      pumpSince_s: flood ? now_s - 1260 : (last?.stoppedAt_s ?? null),
      floatOn: flood,
      highFloat: flood,
      mainsOn: true,
      inflow: { flow_m3s: flood ? 1.71e-3 : 6.1e-5, uFlow_m3s: flood ? 4e-5 : 7e-7, degreesOfFreedom: 60 },
      pumpRate: { flow_m3s: pump_m3s, uFlow_m3s: 1.8e-5, degreesOfFreedom: 14 },
      levelRate_ms: flood ? 7e-5 : 3.8e-4 / 60,
      startsInLastHour: flood ? 1 : 6,
      openFindings: findingsOf(mood, now_s),
    },
    sources: [
      {
        name: "level sensor",
        kind: "simulated",
        state: "running",
        since_s: record.from_s,
        lastReading_s: now_s,
        accepted: 2_592_000,
        rejected: 3,
        lastRejection: "level_m: expected at most 10 m, found 65.535 m",
        error: null,
        retryAt_s: null,
      },
      {
        name: "pump relay",
        kind: "gpio",
        state: mood === "faults" ? "waiting-to-retry" : "running",
        since_s: record.from_s,
        lastReading_s: now_s,
        accepted: 6200,
        rejected: 0,
        lastRejection: null,
        error: mood === "faults" ? "GPIO line 17 is held by another process; free it or change the line" : null,
        retryAt_s: mood === "faults" ? now_s + 20 : null,
      },
    ],
    store: {
      state: mood === "faults" ? "holding" : "writing",
      held: mood === "faults" ? 212 : 0,
      lost: 0,
      error: mood === "faults" ? "the disk is full" : null,
      since_s: mood === "faults" ? now_s - 212 : null,
    },
    now_s,
    speed,
    maxSpeed: 10_000,
    span: record,
    wallStep_s: mood === "faults" ? 11_520 : 0,
  };
}

function findingsOf(mood: Mood, now_s: number): Finding[] {
  if (mood === "faults") {
    return [
      {
        kind: "sensor-fault",
        severity: "warning",
        from_s: now_s - 5400,
        to_s: null,
        evidence: { channel: "level_m", cause: "frozen", level_m: 0.212, frozenFor_s: 5400 },
        message:
          "The level does not change although the pump runs. Look whether the sensor is stuck or its cable is loose.",
      },
    ];
  }
  if (mood === "calm") return [];
  return [
    {
      kind: "high-water",
      severity: "critical",
      from_s: now_s - 1100,
      to_s: null,
      evidence: { level_m: 0.575, highLevel_m: 0.51, levelRate_ms: 7e-5 },
      message:
        "Keep out of water that may touch an outlet or the panel. If you can reach it dry, start a second pump and lift what must stay dry off the floor.",
    },
    {
      kind: "inflow-exceeds-pump",
      severity: "critical",
      from_s: now_s - 1240,
      to_s: null,
      evidence: { inflow_m3s: 1.71e-3, uInflow_m3s: 4e-5, pumpRate_m3s: pump_m3s },
      message: "More water comes in than the pump moves. A second pump is needed until the inflow falls.",
    },
  ];
}

function past(record: Span): Finding[] {
  const at_s = record.to_s - 3 * day_s;
  return [
    {
      kind: "short-cycling",
      severity: "warning",
      from_s: at_s,
      to_s: at_s + 7200,
      evidence: { cause: "small-active-volume", startsPerHour: 26, maxStartsPerHour: 20, activeVolume_m3: 0.0334 },
      message: "Raise the start level or lower the stop level, so that each run moves more water.",
    },
    {
      kind: "power-lost",
      severity: "critical",
      from_s: at_s - 9 * day_s,
      to_s: at_s - 9 * day_s + 840,
      evidence: { duration_s: 840 },
      message: "The supply was gone. If it happens in rain, have a pump that runs without it.",
    },
  ];
}

const types: Readonly<Record<string, string>> = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css" };

function sendFile(path: string, response: ServerResponse): void {
  const name = path === "/" ? "index.html" : path.slice(1).replaceAll("..", "");
  try {
    const content = readFileSync(join(dist, `${name}.br`));
    const type = types[extname(name)] ?? "application/octet-stream";
    response.writeHead(200, { "content-type": type, "content-encoding": "br" }).end(content);
  } catch {
    response.writeHead(404).end();
  }
}
