// What the overview hears while it is open: all basins first, then what changes. Reconnects by itself, says since when it
// has not heard anything, and asks who is logged in when it is turned away.

import { batch, computed, signal } from "@preact/signals";
import type {
  OverviewAnswer,
  OverviewChanges,
  OverviewEvents,
  OverviewRow,
  Pulse,
  SessionAnswer,
} from "../../daemon/central/central-types.ts";
import type { ApiError } from "../../daemon/server/api-types.ts";

export const session = signal<SessionAnswer | null>(null);
export const about = signal<Pick<OverviewAnswer, "view" | "version" | "brokerLost"> | null>(null);
/** A new map each time that a basin has changed; the row of one that has not is the same object. */
export const rows = signal<ReadonlyMap<string, OverviewRow>>(new Map());
export const pulses = signal<ReadonlyMap<string, Pulse>>(new Map());
/** Wall time in ms since when nothing has been heard; null while connected. */
export const lostSince_ms = signal<number | null>(null);

const heard = signal({ now_s: 0, at_ms: performance.now() });
const tick_ms = signal(performance.now());
/** The central clock, carried on; in steps of a few seconds, for every line that is drawn says how long. */
export const now_s = computed(() => heard.value.now_s + Math.max(0, tick_ms.value - heard.value.at_ms) / 1000);

const silence_ms = 15_000;
const retry_ms = 2_000;
const tick_every_ms = 5_000;

let stream: EventSource | null = null;
let heardAt_ms = performance.now();

export async function start(): Promise<void> {
  setInterval(() => {
    tick_ms.value = performance.now();
    if (stream && performance.now() - heardAt_ms > silence_ms) lost();
  }, tick_every_ms);
  await askWho();
}

export async function logIn(name: string, password: string): Promise<string | null> {
  const answer = await ask("POST", { name, password });
  if (!("error" in answer)) take(answer);
  return "error" in answer ? answer.error : null;
}

export async function logOut(): Promise<void> {
  stream?.close();
  stream = null;
  const answer = await ask("DELETE");
  batch(() => {
    rows.value = new Map();
    about.value = null;
    if (!("error" in answer)) take(answer);
  });
}

async function askWho(): Promise<void> {
  const answer = await ask("GET");
  if ("error" in answer) retry();
  else take(answer);
}

function take(answer: SessionAnswer): void {
  session.value = answer;
  if (answer.login !== null || !answer.required) connect();
}

async function ask(method: string, body?: object): Promise<SessionAnswer | ApiError> {
  try {
    const content = body && { headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
    const answer = await fetch("api/session", { method, ...content });
    return await answer.json();
  } catch {
    return { error: "The central view does not answer. Try again in a moment." };
  }
}

function connect(): void {
  if (stream) return;
  const opened = new EventSource("api/overview/events");
  stream = opened;
  heardAt_ms = performance.now();
  opened.onerror = () => stream === opened && lost();
  on(opened, "overview", (answer) => {
    batch(() => {
      about.value = answer;
      rows.value = new Map(answer.rows.map((row) => [row.name, row]));
      pulses.value = new Map(answer.pulses.map((pulse) => [pulse[0], pulse]));
      hear(answer);
    });
  });
  on(opened, "changes", (changes) => {
    batch(() => {
      if (about.value) about.value = { ...about.value, brokerLost: changes.brokerLost };
      if (changes.rows.length > 0) rows.value = withAll(rows.value, changes.rows, ({ name }) => name);
      if (changes.pulses.length > 0) pulses.value = withAll(pulses.value, changes.pulses, ([name]) => name);
      hear(changes);
    });
  });
}

function hear(answer: Pick<OverviewChanges, "now_s">): void {
  heardAt_ms = performance.now();
  heard.value = { now_s: answer.now_s, at_ms: heardAt_ms };
  lostSince_ms.value = null;
}

function lost(): void {
  lostSince_ms.value ??= Date.now();
  retry();
}

/** Whoever is turned away is asked who he is; everybody else comes back. */
function retry(): void {
  stream?.close();
  stream = null;
  setTimeout(askWho, retry_ms);
}

function on<Name extends keyof OverviewEvents>(
  from: EventSource,
  name: Name,
  taken: (data: OverviewEvents[Name]) => void,
): void {
  from.addEventListener(name, (event: MessageEvent<string>) => taken(JSON.parse(event.data)));
}

function withAll<Value>(
  before: ReadonlyMap<string, Value>,
  news: readonly Value[],
  nameOf: (value: Value) => string,
): ReadonlyMap<string, Value> {
  const after = new Map(before);
  for (const value of news) after.set(nameOf(value), value);
  return after;
}
