// Server-sent events: what is true now, to every page that listens. One text for all of them; whoever cannot keep up is
// let go, and its browser comes back by itself.

import type { ServerResponse } from "node:http";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { LiveEvents, LiveState } from "./api-types.ts";
import { encodeJson } from "./encode-json.ts";

export interface LiveFeed {
  /** Takes the connection over; false when as many listen as the board can serve. */
  attach(response: ServerResponse, headers: Record<string, string | number>): boolean;
  /** There is something new to say; `urgent` when a pump or a finding changed. */
  changed(urgent?: boolean): void;
  cycle(cycle: Cycle): void;
  finding(finding: Finding): void;
  listeners(): number;
  close(): void;
}

/** At most two states a second; a change that matters does not wait for that. */
const pace_ms = 500;
const urgentPace_ms = 100;
const mostListeners = 50;
/** A reader this far behind is not there any more. */
const mostUnread_bytes = 1_000_000;

/** @param state what is true now; asked only while someone listens */
export function createLiveFeed(state: () => LiveState): LiveFeed {
  const listening = new Set<ServerResponse>();
  let timer: NodeJS.Timeout | undefined;
  let due_ms = Number.POSITIVE_INFINITY;
  let said_ms = Number.NEGATIVE_INFINITY;
  let closed = false;

  return {
    attach(response, headers) {
      if (closed || listening.size >= mostListeners) return false;
      response.writeHead(200, { ...headers, "content-type": "text/event-stream", "cache-control": "no-store" });
      response.on("close", () => leave(response));
      response.on("error", () => leave(response));
      listening.add(response);
      response.write(`retry: 2000\n\n${eventText("state", state())}`);
      return true;
    },
    changed: (urgent = false) => sayWithin(urgent ? urgentPace_ms : pace_ms),
    cycle: (cycle) => say("cycle", cycle),
    finding(finding) {
      say("finding", finding);
      sayWithin(urgentPace_ms);
    },
    listeners: () => listening.size,
    close() {
      closed = true;
      clearTimeout(timer);
      for (const response of listening) response.end();
      listening.clear();
    },
  };

  function sayWithin(pause_ms: number): void {
    if (listening.size === 0) return;
    const now_ms = performance.now();
    const at_ms = Math.max(now_ms, said_ms + pause_ms);
    if (at_ms >= due_ms) return;
    due_ms = at_ms;
    clearTimeout(timer);
    timer = setTimeout(sayState, at_ms - now_ms);
  }

  function sayState(): void {
    due_ms = Number.POSITIVE_INFINITY;
    said_ms = performance.now();
    if (listening.size > 0) say("state", state());
  }

  function say<Name extends keyof LiveEvents>(name: Name, data: LiveEvents[Name]): void {
    if (listening.size === 0) return;
    const text = eventText(name, data);
    for (const response of listening) {
      if (response.writableLength > mostUnread_bytes) response.destroy();
      else response.write(text);
    }
  }

  function leave(response: ServerResponse): void {
    listening.delete(response);
  }
}

function eventText<Name extends keyof LiveEvents>(name: Name, data: LiveEvents[Name]): string {
  return `event: ${name}\ndata: ${encodeJson(data)}\n\n`;
}
