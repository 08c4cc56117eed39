// One basin's own page, from afar: the server of the board itself, with its routes and its page, on the record in the
// shared database and on what the broker hears. Opened when someone looks, closed when nobody has for long.

import type { ReportSummary } from "../../analysis/report/report.ts";
import type { BasinHealth, LiveState, SiteInfo } from "../server/api-types.ts";
import { buildServer } from "../server/build-server.ts";
import { createLiveFeed, type LiveFeed } from "../server/live-feed.ts";
import type { Server } from "../server/server-parts.ts";
import { BadRequest } from "../server/validate-request.ts";
import type { RecordReader } from "../stores/record-reader.ts";
import type { Basin, Basins } from "./basins.ts";
import { readAbout } from "./board-messages.ts";
import type { BrokerEar } from "./broker-ear.ts";

export interface DrillDownParts {
  readonly basins: Basins;
  readonly ear: Pick<BrokerEar, "ask" | "lost">;
  now_s(): number;
  record(basin: string): RecordReader;
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
const waitForSite_ms = 3000;
/** The page takes a line that is silent for long for a dead one. */
const tick_ms = 1000;

export function drillDown(parts: DrillDownParts): DrillDown {
  // In the order of the last request.
  const open = new Map<string, Promise<Opened>>();

  function opened(basin: Basin): Promise<Opened> {
    const known = open.get(basin.name);
    const its = known ?? openBasin(basin, parts, () => forget(basin.name));
    open.delete(basin.name);
    open.set(basin.name, its);
    if (known === undefined) {
      its.catch(() => open.delete(basin.name));
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
  const { basins, ear, now_s } = parts;
  const about = {
    site: null as SiteInfo | null,
    health: null as BasinHealth | null,
    summary: null as ReportSummary | null,
  };
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
  const timer = setTimeout(knowSite, waitForSite_ms);
  await siteKnown;
  clearTimeout(timer);
  if (about.site === null || basin.heard.situation === null) {
    stopAsking();
    throw new BadRequest(notSaidYet(basin, ear.lost() !== null), 503);
  }

  const state = (): LiveState => liveState(basin, about.health, now_s());
  const feed = createLiveFeed(state);
  const server = buildServer({
    siteInfo: { ...about.site, overview: "../../" },
    record: parts.record(basin.name),
    feed,
    state,
    summary() {
      if (about.summary === null) throw new BadRequest("summary: the board has not told its report yet", 503);
      return about.summary;
    },
    speed: () => null,
    host: "0.0.0.0", // which names may be asked for was seen to before
    pageFolder: parts.pageFolder,
  });
  const stopListening = basins.listen(basin.name, {
    situation: () => feed.changed(),
    cycle: feed.cycle,
    finding: feed.finding,
  });
  const ticking = setInterval(() => feed.changed(), tick_ms);
  await server.ready();
  return {
    server,
    feed,
    async close() {
      clearInterval(ticking);
      stopListening();
      stopAsking();
      await server.close();
    },
  };
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
    span: health?.span ?? null,
    wallStep_s: health?.wallStep_s ?? 0,
    publisher: null,
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
