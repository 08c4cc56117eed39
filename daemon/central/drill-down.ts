// One basin's own page, from afar: the server of the board itself, with its routes and its page, on the record in the
// shared database and on what the broker hears. Opened when someone looks, closed when nobody has for long.

import type { ReportSummary } from "../../analysis/report/report.ts";
import type { BasinHealth, LiveState, SiteInfo } from "../server/api-types.ts";
import { buildServer } from "../server/build-server.ts";
import { createLiveFeed, type LiveFeed } from "../server/live-feed.ts";
import type { Server } from "../server/server-parts.ts";
import { BadRequest } from "../server/validate-request.ts";
import type { Span } from "../stores/store.ts";
import type { Basin, Basins } from "./basins.ts";
import { readAbout } from "./board-messages.ts";
import type { BrokerEar } from "./broker-ear.ts";
import type { Database } from "./database.ts";
import { alarmsShown, asideShown, notTaken } from "./orders-shown.ts";

export interface DrillDownParts {
  readonly basins: Basins;
  readonly ear: Pick<BrokerEar, "ask" | "lost">;
  now_s(): number;
  readonly database: Database;
  /** Folder of the board's built page. */
  readonly pageFolder: string;
}

export interface DrillDown {
  /**
   * The server that answers what is asked below the basin's folder.
   * @throws {BadRequest} when nothing is known of the basin yet
   */
  serverOf(basin: Basin): Promise<Server>;
  close(): Promise<void>;
}

interface Opened {
  readonly server: Server;
  readonly feed: LiveFeed;
  close(): Promise<void>;
}

/** A page that nobody looks at costs some memory, and one that is opened again some milliseconds. */
const mostOpen = 40;
/** More of them at once than this, each with someone who looks, are turned away. */
const mostLookedAt = 300;
const waitForSite_ms = 1500;
const lookAtRecord_ms = 20_000;
/** The page takes a line that is silent for long for a dead one. */
const tick_ms = 1000;

export function drillDown(parts: DrillDownParts): DrillDown {
  // In the order of the last request.
  const open = new Map<string, Promise<Opened>>();

  function opened(basin: Basin): Promise<Opened> {
    const known = open.get(basin.name);
    if (known === undefined && open.size >= mostLookedAt) {
      throw new BadRequest("as many basins' pages are open as can be served; close one of them", 503);
    }
    const its = known ?? openBasin(basin, parts, () => forget(basin.name));
    open.delete(basin.name);
    open.set(basin.name, its);
    if (known === undefined) {
      its.catch(() => open.get(basin.name) === its && open.delete(basin.name));
      void makeRoom();
    }
    return its;
  }

  function forget(name: string): void {
    const its = open.get(name);
    open.delete(name);
    void its?.then(({ close }) => close()).catch(() => undefined);
  }

  async function makeRoom(): Promise<void> {
    for (const [name, promise] of [...open]) {
      if (open.size <= mostOpen) return;
      const its = await promise.catch(() => null);
      if (its?.feed.listeners() === 0) forget(name);
    }
  }

  return {
    serverOf: async (basin) => (await opened(basin)).server,
    async close() {
      const all = [...open.values()];
      open.clear();
      await Promise.allSettled(all.map(async (its) => (await its).close()));
    },
  };
}

/** @param outdated the board has been given another site: what is open is of the one before */
async function openBasin(basin: Basin, parts: DrillDownParts, outdated: () => void): Promise<Opened> {
  const { basins, ear, now_s, database } = parts;
  await using opened = new AsyncDisposableStack();
  const about = await askAbout(basin, parts, opened, outdated);
  if (about.site === null) throw new BadRequest(notSaidYet(basin, ear.lost() !== null), 503);

  const record = database.record(basin.name);
  let recorded = await record.span().catch(() => null);
  const state = (): LiveState => ({ ...liveState(basin, about.health, now_s()), span: upToNow(recorded, basin) });
  const feed = createLiveFeed(state);
  const server = buildServer({
    siteInfo: { ...about.site, overview: "../../" },
    record,
    feed,
    state,
    summary() {
      if (about.summary === null) throw new BadRequest("summary: the board has not told its report yet", 503);
      return about.summary;
    },
    speed: () => null,
    host: null, // which names may be asked for was seen to before
    pageFolder: parts.pageFolder,
  });
  opened.defer(() => server.close());
  opened.defer(
    basins.listen(basin.name, {
      ...{ situation: () => feed.changed(), alarms: () => feed.changed(true) },
      ...{ cycle: feed.cycle, finding: feed.finding },
    }),
  );
  const ticking = setInterval(() => feed.changed(), tick_ms);
  opened.defer(() => clearInterval(ticking));
  const looking = setInterval(async () => {
    if (recorded === null || feed.listeners() > 0) recorded = await record.span().catch(() => recorded);
  }, lookAtRecord_ms);
  opened.defer(() => clearInterval(looking));
  await server.ready();
  const all = opened.move();
  return { server, feed, close: () => all.disposeAsync() };
}

interface About {
  site: SiteInfo | null;
  health: BasinHealth | null;
  summary: ReportSummary | null;
}

/** From the broker, as long as the page is open; what the broker does not keep, from the database. */
async function askAbout(
  basin: Basin,
  { ear, database }: DrillDownParts,
  opened: AsyncDisposableStack,
  outdated: () => void,
): Promise<About> {
  const about: About = { site: null, health: null, summary: null };
  const { promise: siteKnown, resolve: knowSite } = Promise.withResolvers<void>();
  const stopAsking = ear.ask(basin.name, ["site", "health", "summary"], (topic, payload) => {
    if (topic === "site") {
      const before = about.site;
      about.site = readAbout.site(payload) ?? before;
      if (before !== null && JSON.stringify(before) !== JSON.stringify(about.site)) outdated();
      knowSite();
    }
    if (topic === "health") about.health = readAbout.health(payload) ?? about.health;
    if (topic === "summary") about.summary = readAbout.summary(payload) ?? about.summary;
  });
  opened.defer(stopAsking);
  const timer = setTimeout(knowSite, waitForSite_ms);
  const [facts] = await Promise.all([database.facts(basin.name).catch(() => null), siteKnown]);
  clearTimeout(timer);
  about.site ??= facts?.info ?? null;
  about.summary ??= facts?.summary ?? null;
  return about;
}

/** What is forwarded arrives some seconds later; the record's end is the newest reading that was heard. */
function upToNow(recorded: Span | null, { heard }: Basin): Span | null {
  return recorded && { ...recorded, to_s: Math.max(recorded.to_s, heard.situation?.time_s ?? recorded.to_s) };
}

function notSaidYet({ name }: Basin, brokerLost: boolean): string {
  return brokerLost
    ? `${name}: the central view does not hear the broker, and knows nothing of this basin yet`
    : `${name}: the board has not said what it is; does it run, and publish under this name?`;
}

/** Time goes on by the board's own clock from its newest reading. */
function liveState({ heard }: Basin, health: BasinHealth | null, now_s: number): LiveState {
  const situation = heard.situation ?? nothing;
  const since_s = heard.reading_s === null ? 0 : now_s - heard.reading_s;
  return {
    situation,
    sources: health?.sources ?? [],
    store: health?.store ?? { state: "writing", held: 0, lost: 0, error: null, since_s: null },
    now_s: situation.time_s === null ? now_s : situation.time_s + since_s,
    speed: null,
    maxSpeed: null,
    span: null,
    wallStep_s: health?.wallStep_s ?? 0,
    publisher: null,
    forward: health?.forward ?? null,
    alarms: alarmsShown(heard),
    aside: asideShown(heard, now_s),
    takesAnswers: heard.alarms?.acknowledge === true,
    ...(heard.alarms !== null && {
      fromAfar: { takesShelving: heard.alarms.shelve, done: heard.alarms.done, notTaken: notTaken(heard, now_s) },
    }),
  };
}

const nothing: LiveState["situation"] = {
  time_s: null,
  level_m: null,
  pumpRunning: null,
  pumpSince_s: null,
  floatOn: null,
  highFloat: null,
  mainsOn: null,
  inflow: null,
  pumpRate: null,
  levelRate_ms: null,
  startsInLastHour: 0,
  openFindings: [],
};
