// The API with a month of plausible data and no daemon behind it, for tests of the page and for measuring it.

import { readFileSync } from "node:fs";
import { createServer, type ServerResponse } from "node:http";
import { extname, join } from "node:path";
import type { Site } from "../../analysis/site.ts";
import type { Span } from "../../daemon/stores/store.ts";
import { clip, cyclesOf, day_s, inflowIn, levelIn, newest } from "./mock-month.ts";
import { findingsOf, type Mood, past, siteInfo, stateAt } from "./mock-moods.ts";
import { sizingInputs } from "./mock-sizing.ts";

const dist = join(import.meta.dirname, "../../dashboard/dist");

export interface MockApi {
  readonly url: string;
  readonly record: Span;
  close(): Promise<void>;
}

export async function startMockApi(
  options: { days?: number; mood?: Mood; port?: number; site?: Site } = {},
): Promise<MockApi> {
  const { days = 30, mood = "calm", port = 0, site = siteInfo.site } = options;
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
        return json(response, { ...siteInfo, site });
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
      case "/api/summary":
        return json(response, { sizing: { margin: mood === "flood" ? 0.95 : 4.2 } });
      case "/api/rain":
        return json(response, { stretches: null });
      case "/api/sizing":
        return json(response, sizingInputs(record, cycles));
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
