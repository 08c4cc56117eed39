// What the page hears from the daemon while it is open: state once or twice a second, cycles and findings as they come.
// Reconnects by itself and says since when it has not heard anything.

import { batch, computed, signal } from "@preact/signals";
import type { Cycle } from "../analysis/cycles/cycle.ts";
import type { Finding } from "../analysis/findings/finding.ts";
import type { LiveState, SiteInfo } from "../daemon/server/api-types.ts";
import { api } from "./api.ts";

export const site = signal<SiteInfo | null>(null);
export const live = signal<LiveState | null>(null);
/** Wall time in ms since when nothing has been heard; null while connected. */
export const lostSince_ms = signal<number | null>(null);
/** How often a connection has come about: what was said before the newest one has not been heard. */
export const connections = signal(0);
/** The newest cycle and finding that arrived while the page was open. */
export const lastCycle = signal<Cycle | null>(null);
export const lastFinding = signal<Finding | null>(null);

const heardAt_ms = signal(performance.now());
const tick_ms = signal(performance.now());

/** Between two states, which are at most this far apart, time is carried on. */
const longestCarry_s = 6;

/** Real seconds since the last state arrived. */
const sinceHeard_s = computed(() => Math.max(0, (tick_ms.value - heardAt_ms.value) / 1000));

/** The basin's time, carried on between two states; it stands still while the connection is lost. */
export const now_s = computed(() => {
  const state = live.value;
  if (state === null) return 0;
  const carried_s = lostSince_ms.value === null ? Math.min(sinceHeard_s.value, longestCarry_s) : 0;
  return state.now_s + carried_s * (state.speed ?? 1);
});

/** Real seconds since the newest reading; null before the first. */
export const readingAge_s = computed(() => {
  const state = live.value;
  if (!state || state.situation.time_s === null) return null;
  const atArrival_s = Math.max(0, state.now_s - state.situation.time_s) / (state.speed || 1);
  return atArrival_s + sinceHeard_s.value;
});

/** A replayed recording has been played to its end, or a record is all that is shown. */
export const ended = computed(() => {
  const { sources = [], alarms = null } = live.value ?? {};
  // A record that is only looked at. From afar it may not be known yet what sources there are.
  if (sources.length === 0) return live.value !== null && alarms === null && site.value?.overview === undefined;
  return sources.every((source) => source.state === "finished");
});

/** The daemon says its state every second, also when no readings come. Far longer silence: the line is dead. */
const silence_ms = 12_000;
const retry_ms = 2_000;

export function listen(): void {
  let stream: EventSource | null = null;
  let openedAt_ms = 0;

  const heard = () => {
    heardAt_ms.value = performance.now();
    lostSince_ms.value = null;
  };
  const lost = () => {
    lostSince_ms.value ??= Date.now();
    stream?.close();
    stream = null;
    setTimeout(connect, retry_ms);
  };

  function connect(): void {
    if (stream) return;
    const opened = new EventSource("api/events");
    stream = opened;
    openedAt_ms = performance.now();
    opened.onopen = () => {
      connections.value++;
      void loadSite(); // a daemon that comes back may have another site, or another time
    };
    opened.onerror = () => stream === opened && lost();
    on<LiveState>(opened, "state", (state) =>
      batch(() => {
        live.value = state;
        heard();
      }),
    );
    on<Cycle>(opened, "cycle", (cycle) => {
      lastCycle.value = cycle;
    });
    on<Finding>(opened, "finding", (finding) => {
      lastFinding.value = finding;
    });
  }

  setInterval(() => {
    tick_ms.value = performance.now();
    if (stream && performance.now() - Math.max(openedAt_ms, heardAt_ms.value) > silence_ms) lost();
  }, 1000);
  connect();
}

function on<Data>(stream: EventSource, name: string, take: (data: Data) => void): void {
  stream.addEventListener(name, (event: MessageEvent<string>) => {
    take(JSON.parse(event.data));
  });
}

async function loadSite(): Promise<void> {
  try {
    site.value = await api.site();
  } catch {
    // The stream will fail too, and is tried again.
  }
}
