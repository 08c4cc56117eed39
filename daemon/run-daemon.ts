// Builds the parts of the daemon from a site file, starts them, and stops them in reverse. Signals, exit codes and what
// is printed at the start belong to the commands.

import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type AnalyzerSink, createAnalyzer } from "../analysis/analyzer.ts";
import { iso } from "../analysis/report/summarize.ts";
import packageFile from "../package.json" with { type: "json" };
import { type Alarms, startAlarms } from "./alarms/start-alarms.ts";
import { type Clock, systemClock } from "./clock.ts";
import { clockNotBefore } from "./clock-not-before.ts";
import type { SiteFile } from "./config/site-file.ts";
import type { CreateAnalyzer } from "./derive.ts";
import { findingLine } from "./finding-line.ts";
import { type Forwarding, forwardRecord } from "./forward/forward-record.ts";
import type { Forwarder } from "./forward/forwarder.ts";
import { keepOrder } from "./keep-order.ts";
import { kindsOfSources, playedKind } from "./kinds-of-sources.ts";
import { listenOn, refuseTakenPort } from "./listen-on.ts";
import { liveState, playedSpeed } from "./live-state.ts";
import { openPublisher } from "./open-publisher.ts";
import { openRecord } from "./open-record.ts";
import type { MqttPublisher } from "./publishers/mqtt-publisher.ts";
import { saySeldom } from "./publishers/say-seldom.ts";
import type { SiteInfo } from "./server/api-types.ts";
import { buildServer } from "./server/build-server.ts";
import { createLiveFeed, type LiveFeed } from "./server/live-feed.ts";
import { sourceKinds } from "./sources/index.ts";
import { type RunningSource, runSource } from "./sources/run-source.ts";
import type { SourceKind } from "./sources/source.ts";
import { putBackWords } from "./stores/put-back-words.ts";
import { recordKey } from "./stores/record-key.ts";
import { recordReader } from "./stores/record-reader.ts";
import type { Store, StoreOptions } from "./stores/store.ts";
import { startWatch, type Watch } from "./watch.ts";

export interface DaemonOptions {
  /** One line for each thing that happens. */
  log(line: string): void;
  /** Where the port is taken: the next that is free, instead of an error. */
  readonly orNextFreePort?: boolean;
  readonly clock?: Clock;
  readonly kinds?: readonly SourceKind[];
  readonly createAnalyzer?: CreateAnalyzer;
  readonly openStore?: (path: string, options: StoreOptions) => Store;
  readonly pageFolder?: string;
}

export interface Daemon {
  /** Address of the page. */
  readonly url: string;
  readonly invented: boolean;
  /** Everything that was taken is on the card when it resolves. */
  stop(): Promise<void>;
}

/** What the steps of the start hand on. */
interface Parts {
  readonly siteFile: SiteFile;
  readonly options: DaemonOptions;
  readonly kinds: readonly SourceKind[];
  readonly siteInfo: SiteInfo;
  readonly clock: Clock;
  readonly store: Store;
  readonly sources: RunningSource[];
  readonly watch: Watch;
  readonly feed: LiveFeed;
  /** Null where the record is forwarded nowhere. */
  readonly forwarding: Forwarding | null;
  forwarder: Forwarder | null;
  publisher: MqttPublisher | null;
  saySeldom(): void;
  /** Null while a recording is played: what it tells of is over. Of a simulated basin nobody is told. */
  alarms: Alarms | null;
  /** Why they could not look; null: they could. */
  alarmsFault: string | null;
}

const builtPage = fileURLToPath(new URL("../dashboard/dist", import.meta.url));
const tick_ms = 1000;
/** By so many readings it is known how often they come: of a sensor that speaks ten times a second those of minutes. */
const newest = 2000;
/** A year of readings, and the time to look at it: 400 days. */
const usuallyKept_s = 400 * 86_400;
const fromWhere = { checkpoint: "those after the last checkpoint", beginning: "the whole record" };

/**
 * @throws {StoreError} when the store cannot be used
 * @throws {CannotListen} when another program has the port
 * @throws {CannotStart} when certificate or key of the page cannot be read
 */
export async function runDaemon(siteFile: SiteFile, options: DaemonOptions): Promise<Daemon> {
  // A new record is not begun by a daemon that cannot start; an old one first says whether it is in use.
  if (options.orNextFreePort !== true && !existsSync(siteFile.store.path)) await refuseTakenPort(siteFile.server);
  await using started = new AsyncDisposableStack();
  const parts = assemble(siteFile, options, started);
  const recordEnd_s = parts.store.span()?.to_s ?? null;
  parts.alarms = callPeople(parts, recordEnd_s, started);
  const url = await serve(parts, started);
  parts.publisher = await openPublisher(siteFile, {
    ...{ store: parts.store, invented: parts.siteInfo.invented, now_s: () => alarmTime_s(parts), log: options.log },
    onAcknowledge: (acknowledgement) => parts.alarms?.answer(acknowledgement),
    onShelve: (shelving) => parts.alarms?.shelve(shelving),
  });
  started.defer(() => parts.publisher?.close());
  if (parts.publisher !== null) parts.saySeldom = saySeldom(parts.publisher, answers(parts));
  parts.forwarder = startForwarding(parts);
  started.defer(() => parts.forwarder?.close());
  const timer = setInterval(() => tick(parts), tick_ms);
  started.defer(() => clearInterval(timer));
  openSources(parts, started);
  const running = started.move();
  return { url, invented: parts.siteInfo.invented, stop: () => running.disposeAsync() };
}

function assemble(siteFile: SiteFile, options: DaemonOptions, started: AsyncDisposableStack): Parts {
  const { log } = options;
  const kinds = kindsOfSources(siteFile.sources, options.kinds ?? sourceKinds);
  const playing = playedKind(kinds);
  const siteInfo: SiteInfo = {
    site: siteFile.site,
    invented: kinds.some((kind) => kind.invented),
    playing,
    version: packageFile.version,
    record: recordKey(siteFile.store.path),
  };
  const { path, flush_s, keepReadings_s = usuallyKept_s, keepChannels_s = {} } = siteFile.store;
  const flushing = flush_s === undefined ? {} : { flushAfter_ms: flush_s * 1000 };
  const { store, standsIn } = openRecord(
    path,
    { log, keepReadings_s, keepChannels_s, ...flushing },
    { open: options.openStore, somebodyIsCalled: playing === null && siteFile.alarms.contacts.length > 0 },
  );
  started.defer(() => store.close());
  const putBack = store.putBack();
  if (putBack !== null)
    log(`store: ${putBackWords(putBack)}; the watch goes on from its end, and alarms stand as they stood`);
  const clock = chooseClock(options, playing === null ? store : null);
  const sources: RunningSource[] = [];
  const feed = createLiveFeed(() => liveState({ ...parts, playing: playing !== null }));
  // What stands in is no record: the shared database keeps the one before.
  const forwarding = siteFile.forward && !standsIn ? forwardRecord(store, siteFile.forward) : null;
  const watch = startWatch({
    site: siteFile.site,
    store: forwarding?.store ?? store,
    createAnalyzer: options.createAnalyzer ?? createAnalyzer,
    version: packageFile.version,
    listener: announcer(() => parts),
    now_s: clock.now_s,
    urgent: () => seeAlarms(parts),
  });
  started.defer(() => watch.keepPlace());
  if (watch.began.readings > 0)
    log(`store: ${watch.began.readings} readings analysed again, ${fromWhere[watch.began.from]}`);
  const own = { siteFile, options, kinds, siteInfo, clock, store, sources, watch, feed, forwarding };
  const later = { forwarder: null, publisher: null, saySeldom() {}, alarms: null };
  const parts: Parts = { ...own, ...later, alarmsFault: null };
  return parts;
}

/** @param record of a real basin; null when a time of its own is played */
function chooseClock({ clock = systemClock(), log }: DaemonOptions, record: Pick<Store, "span"> | null): Clock {
  const end_s = record?.span()?.to_s ?? null;
  const chosen = clockNotBefore(clock, end_s);
  if (chosen !== clock && end_s !== null) {
    log(
      `clock: it says ${iso(clock.now_s())} and the record ends ${iso(end_s)}; ` +
        "times carry on from the record's end until the daemon is started again with the right time",
    );
  }
  return chosen;
}

function announcer(parts: () => Parts): AnalyzerSink {
  return {
    cycle(cycle, stage) {
      parts().feed.cycle(cycle);
      if (stage === "settled") parts().publisher?.cycle(cycle);
      parts().forwarder?.nudge();
    },
    finding(finding, change) {
      const { feed, publisher, options, siteFile } = parts();
      feed.finding(finding);
      publisher?.finding(finding);
      parts().forwarder?.nudge();
      if (change !== "updated") options.log(findingLine(finding, change, siteFile.site.displayUnits));
    },
  };
}

async function serve(parts: Parts, started: AsyncDisposableStack): Promise<string> {
  const { siteFile, options, siteInfo, store, feed, watch, sources } = parts;
  const server = buildServer({
    siteInfo,
    record: recordReader(store),
    feed,
    state: answers(parts).state,
    summary: watch.summary,
    speed: () => playedSpeed(sources),
    alarms: parts.alarms?.desk ?? null,
    host: siteFile.server.host,
    tls: siteFile.server.tls,
    alsoCalled: siteFile.alarms.pageAddress && new URL(siteFile.alarms.pageAddress).hostname,
    pageFolder: options.pageFolder ?? builtPage,
  });
  started.defer(() => server.close());
  return listenOn(server, siteFile.server, options.orNextFreePort);
}

/** What is asked of the daemon: by its page, and for those who look from afar. */
function answers(parts: Parts) {
  const { siteInfo, watch, clock } = parts;
  const state = () => liveState({ ...parts, playing: siteInfo.playing !== null });
  return { siteInfo, state, summary: watch.summary, now_s: clock.now_s };
}

/** Alarms of what is true now; of what is played nobody is told, though those of a simulated basin stand on its page. */
function callPeople(parts: Parts, recordEnd_s: number | null, started: AsyncDisposableStack): Alarms | null {
  const { siteFile, options, siteInfo, clock, store, sources, feed } = parts;
  const { playing } = siteInfo;
  if (playing === "replay") return null;
  // A record that is looked at: nothing is true now, and nobody is to be called.
  if (siteFile.sources.length === 0 && siteFile.alarms.contacts.length === 0) return null;
  const alarms = startAlarms(siteFile, {
    now_s: () => alarmTime_s(parts),
    wallStep_s: () => (playing === null ? clock.wallStep_s() : 0),
    rehearsal: playing !== null,
    store,
    sources: () => sources.map((source) => source.health()),
    recordEnd_s,
    latestReadings_s: Array.from(store.readings(Math.max(0, store.readingCount() - newest)), ({ time_s }) => time_s),
    log: options.log,
    onChange() {
      feed.changed(true);
      sayAlarms(parts);
    },
  });
  started.defer(() => alarms.close());
  return alarms;
}

/** A basin that is played has a time of its own. */
function alarmTime_s({ siteInfo, watch, clock }: Pick<Parts, "siteInfo" | "watch" | "clock">): number {
  return (siteInfo.playing === null ? null : watch.situation().time_s) ?? clock.now_s();
}

function startForwarding({ forwarding, siteFile, siteInfo, watch, clock, options }: Parts): Forwarder | null {
  if (forwarding === null) return null;
  const { baseFolder } = siteFile;
  return forwarding.start({ baseFolder, siteInfo, summary: watch.summary, now_s: clock.now_s, log: options.log });
}

function openSources(parts: Parts, started: AsyncDisposableStack): void {
  const { siteFile, options, kinds, clock, watch, feed, sources, siteInfo } = parts;
  const order = { newest_s: watch.newest_s, now_s: () => (siteInfo.playing === null ? clock.now_s() : null) };
  started.defer(async () => {
    await Promise.all(sources.map((source) => source.close()));
  });
  const around = {
    clock,
    site: siteFile.site,
    baseFolder: siteFile.baseFolder,
    lastReading_s: watch.newest_s(),
    log: options.log,
    onChange: () => feed.changed(true),
    onReading: passOn(parts),
  };
  for (const [index, config] of siteFile.sources.entries()) {
    const kind = kinds[index];
    if (kind !== undefined) sources.push(runSource(keepOrder(kind, order), config, around));
  }
}

/** Takes a reading, and tells the pages at once when the pump started or stopped with it. */
function passOn(parts: Parts): Parameters<typeof runSource>[2]["onReading"] {
  const { watch, feed } = parts;
  let running: boolean | null = null;
  return (reading) => {
    if (reading.rain_m !== undefined) parts.alarms?.rain(reading.time_s, reading.rain_m);
    watch.take(reading);
    if (feed.listeners() === 0) return;
    const { pumpRunning } = watch.situation();
    feed.changed(pumpRunning !== running);
    running = pumpRunning;
  };
}

function seeAlarms(parts: Parts): void {
  try {
    parts.alarms?.service.see(parts.watch.situation());
    parts.alarmsFault = null;
  } catch (error) {
    // A defect here must not end the watch; and it is said once, not each second.
    const fault = error instanceof Error ? (error.stack ?? error.message) : String(error);
    if (fault !== parts.alarmsFault) parts.options.log(`alarms: ${fault}`);
    parts.alarmsFault = fault;
  }
}

/** For whoever looks at many basins: said again only when it has changed. */
function sayAlarms({ alarms, publisher, siteFile, siteInfo }: Parts): void {
  if (alarms === null || siteInfo.playing !== null) return;
  const { acknowledge = false, shelve = false } = siteFile.publish.mqtt ?? {};
  publisher?.about("alarms", { alarms: alarms.active(), acknowledge, shelve, ...alarms.fromAfar() });
}

function tick(parts: Parts): void {
  const { watch, feed, publisher, saySeldom, forwarder } = parts;
  watch.tick();
  forwarder?.tick();
  seeAlarms(parts);
  sayAlarms(parts);
  feed.changed();
  publisher?.state(watch.situation());
  saySeldom();
}
