// Server-sent events of the overview: first all of it, then a few times a second what has changed. One text for all who
// see the same, packed as it goes; whoever cannot keep up is let go, and its browser comes back by itself.

import type { ServerResponse } from "node:http";
import { constants, createGzip, type Gzip } from "node:zlib";
import type { OverviewEvents } from "./central-types.ts";
import type { Overview, Seer } from "./overview.ts";

export interface OverviewFeed {
  /** Takes the connection over; false when as many listen as can be served. */
  attach(response: ServerResponse, headers: Record<string, string | number>, seer: Listener): boolean;
  listeners(): number;
  close(): void;
}

export interface Listener {
  readonly seer: Seer;
  readonly packed: boolean;
  /** Asked now and then: a login that has ended hears no more. */
  stillMay(): boolean;
}

const pace_ms = 300;
/** A line is dead that is silent for much longer than this. */
const sayNothing_ms = 5000;
const mostListeners = 400;
/** So that one customer's cannot shut the others out, nor staff. */
const mostOfCustomer = 40;
const mostUnread_bytes = 4_000_000;

interface Line extends Listener {
  readonly response: ServerResponse;
  readonly gzip: Gzip | null;
}

export function overviewFeed(overview: Overview, now_s: () => number): OverviewFeed {
  const lines = new Set<Line>();
  let said_ms = performance.now();
  const timer = setInterval(step, pace_ms);

  function step(): void {
    overview.step();
    if (lines.size > 0) tellAll();
    overview.take();
  }

  function tellAll(): void {
    const texts = new Map<Seer, string | null>();
    const isQuiet = performance.now() - said_ms > sayNothing_ms;
    for (const line of lines) {
      if (isQuiet && !line.stillMay()) {
        leave(line);
        continue;
      }
      let text = texts.get(line.seer);
      if (text === undefined) {
        const changes = overview.changes(line.seer);
        text = changes === null ? null : eventText("changes", changes);
        texts.set(line.seer, text);
      }
      const nothing = () => eventText("changes", { now_s: now_s(), brokerLost: overview.lost(), rows: [], pulses: [] });
      if (text !== null || isQuiet) write(line, text ?? nothing());
    }
    if (isQuiet) said_ms = performance.now();
  }

  function write(line: Line, text: string): void {
    const { response, gzip } = line;
    if (response.writableLength + (gzip?.writableLength ?? 0) > mostUnread_bytes) {
      leave(line);
      return;
    }
    (gzip ?? response).write(text);
    gzip?.flush(constants.Z_SYNC_FLUSH);
  }

  function leave(line: Line): void {
    if (!lines.delete(line)) return;
    line.gzip?.destroy();
    line.response.destroy();
  }

  return {
    attach(response, headers, listener) {
      const others = [...lines].filter(({ seer }) => seer !== null && seer === listener.seer).length;
      if (lines.size >= mostListeners || others >= mostOfCustomer) return false;
      const gzip = listener.packed ? createGzip({ level: 1, memLevel: 6 }) : null;
      const line: Line = { ...listener, response, gzip };
      response.writeHead(200, {
        ...headers,
        "content-type": "text/event-stream",
        "cache-control": "no-store",
        ...(gzip !== null && { "content-encoding": "gzip" }),
      });
      gzip?.pipe(response);
      for (const end of [response, gzip]) end?.on("error", () => leave(line));
      response.on("close", () => leave(line));
      write(line, `retry: 2000\n\n${eventText("overview", overview.whole(listener.seer))}`);
      lines.add(line);
      return true;
    },
    listeners: () => lines.size,
    close() {
      clearInterval(timer);
      for (const { response, gzip } of lines) (gzip ?? response).end();
      lines.clear();
    },
  };
}

function eventText<Name extends keyof OverviewEvents>(name: Name, data: OverviewEvents[Name]): string {
  return `event: ${name}\ndata: ${JSON.stringify(data)}\n\n`;
}
