// What the overview hears while it is open: all basins first, then what changes. Reconnects by itself, says since when it
// has not heard anything, and asks who is logged in when it is turned away.

import { batch, computed, type Signal, signal } from "@preact/signals";
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
/** One for each basin, so that a level that moves draws no more anew than its own figure. */
const pulses = new Map<string, Signal<Pulse>>();
/** Wall time in ms since when nothing has been heard; null while connected. */
export const lostSince_ms = signal<number | null>(null);

const heard = signal({ now_s: 0, at_ms: performance.now() });
const tick_ms = signal(performance.now());
const step_s = 5;
/** The central clock, carried on; in whole steps, for every line that is drawn says how long. */
export const now_s = computed(() => {
  const exact_s = heard.value.now_s + Math.max(0, tick_ms.value - heard.value.at_ms) / 1000;
  return step_s * Math.floor(exact_s / step_s);
});

const silence_ms = 15_000;
const retry_ms = 2_000;

let stream: EventSource | null = null;
let heardAt_ms = performance.now();

export async function start(): Promise<void> {
  setInterval(() => {
    tick_ms.value = performance.now();
    if (stream && performance.now() - heardAt_ms > silence_ms) lost();
  }, 1000 * step_s);
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

/** Sees to an alarm of a basin. @returns why that did not get through; null: it did */
export async function acknowledge(basin: string, alarm: string, from_s: number): Promise<string | null> {
  const content = { headers: { "content-type": "application/json" }, body: JSON.stringify({ alarm, from_s }) };
  try {
    const answer = await fetch(`basins/${basin}/api/alarms/acknowledge`, { method: "POST", ...content });
    if (answer.ok) return null;
    const { error }: ApiError = await answer.json();
    return error;
  } catch {
    return "The central view does not answer. Try again in a moment.";
  }
}

/** What moves while all stays as it is, of one basin. */
export function pulseOf(name: string): Signal<Pulse> {
  const known = pulses.get(name);
  if (known !== undefined) return known;
  const made = signal<Pulse>([name, null, null]);
  pulses.set(name, made);
  return made;
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
      for (const pulse of answer.pulses) pulseOf(pulse[0]).value = pulse;
      hear(answer);
    });
  });
  on(opened, "changes", (changes) => {
    batch(() => {
      takeLost(changes.brokerLost);
      if (changes.rows.length > 0) rows.value = withRows(rows.value, changes.rows);
      for (const pulse of changes.pulses) pulseOf(pulse[0]).value = pulse;
      hear(changes);
    });
  });
}

/** Whatever reads `about` draws all lines anew. */
function takeLost(brokerLost: OverviewAnswer["brokerLost"]): void {
  const before = about.value;
  if (before === null || before.brokerLost?.since_s === brokerLost?.since_s) return;
  about.value = { ...before, brokerLost };
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

function withRows(before: ReadonlyMap<string, OverviewRow>, news: readonly OverviewRow[]): Map<string, OverviewRow> {
  const after = new Map(before);
  for (const row of news) after.set(row.name, row);
  return after;
}
