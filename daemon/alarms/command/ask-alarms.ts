// The alarms of a site for a command: those of the daemon that runs, else opened here for as long as the command lasts.

import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { loadSiteFile } from "../../config/load-site-file.ts";
import type { SiteFile } from "../../config/site-file.ts";
import type { AlarmsAnswer } from "../../server/alarms-types.ts";
import type { ApiError, SiteInfo } from "../../server/api-types.ts";
import { inUrl } from "../../server/guard.ts";
import { handToOwner } from "../../stores/hand-to-owner.ts";
import { recordKey } from "../../stores/record-key.ts";
import { lockStore, StoreInUse, type StoreLock } from "../../stores/sqlite/lock.ts";
import { outboxPath, startAlarms } from "../start-alarms.ts";
import { askDaemon } from "./ask-daemon.ts";

/** Whose alarms: the site file, and what `undercroft run` was given beside it. */
export interface WhichDaemon {
  readonly site: string;
  readonly store?: string;
  readonly host?: string;
  readonly port?: number;
}

export interface AskedAlarms {
  readonly siteFile: SiteFile;
  /** Whether the daemon answers; else nobody watches now. */
  readonly running: boolean;
  view(): Promise<AlarmsAnswer>;
  /** @throws {Error} when there is no such contact or channel */
  test(contact: string, by: string | null): Promise<AlarmsAnswer>;
  close(): Promise<void>;
}

const askedBy = "a command";

/**
 * @param problem what about the site file stands in the way of asking; null: nothing
 * @returns null when the site file is wrong, or the daemon does not answer; it has then been said
 */
export async function askAlarms(
  { site, store, host, port }: WhichDaemon,
  problem: (siteFile: SiteFile) => string | null = () => null,
): Promise<AskedAlarms | null> {
  const loaded = loadSiteFile(site);
  if (!loaded.ok) return refuse(...loaded.problems.map(({ text }) => text));
  const inTheWay = problem(loaded.siteFile);
  if (inTheWay !== null) return refuse(inTheWay);
  const { server } = loaded.siteFile;
  const siteFile: SiteFile = {
    ...loaded.siteFile,
    server: { ...server, host: host ?? server.host, port: port ?? server.port },
    store: { ...loaded.siteFile.store, ...(store !== undefined && { path: resolve(store) }) },
  };
  const watched = await watchedThere(siteFile);
  if (watched !== null && isOwn(watched, siteFile)) return ofDaemon(siteFile);
  const asked = `${siteFile.server.tls === undefined ? "http" : "https"}://${inUrl(siteFile.server.host)}:${siteFile.server.port}/`;
  const there =
    watched === null
      ? `it does not answer on ${asked}`
      : `what answers on ${asked} watches ${watched.site.name} and keeps another record`;
  try {
    const alarms = openedHere(siteFile, lockIfPossible(siteFile.store.path));
    // Most likely it is the one that is meant: without this it would seem that nobody watches.
    if (watched?.site.name === siteFile.site.name)
      console.error(`${there} than ${siteFile.store.path}; where undercroft run was given --store, give it here too`);
    return alarms;
  } catch (error) {
    if (!(error instanceof StoreInUse)) throw error;
    return refuse(`${error.message.split(";")[0]}, and ${there}; give --host and --port as it has them`);
  }
}

function refuse(...problems: string[]): null {
  for (const problem of problems) console.error(problem);
  process.exitCode = 2;
  return null;
}

/**
 * Whatever else watches must not send the same messages at the same time.
 * @throws {StoreInUse}
 */
function lockIfPossible(path: string): StoreLock | null {
  try {
    return lockStore(path);
  } catch (error) {
    if (error instanceof StoreInUse) throw error;
    return null; // a folder that takes nothing: a look at the alarms is free nevertheless
  }
}

function ofDaemon(siteFile: SiteFile): AskedAlarms {
  return {
    siteFile,
    running: true,
    view: () => ask(siteFile, "/api/alarms"),
    test: (contact, by) => ask(siteFile, "/api/alarms/test", { contact, by, asked_by: askedBy }),
    async close() {},
  };
}

function openedHere(siteFile: SiteFile, lock: StoreLock | null): AskedAlarms {
  const { path } = siteFile.store;
  const isNew = !existsSync(outboxPath(path));
  // Nobody watches: whoever waits for a sign of life must not get one from here.
  const silent = { ...siteFile, alarms: { ...siteFile.alarms, heartbeat: null } };
  const alarms = startAlarms(silent, {
    now_s: () => Date.now() / 1000,
    store: { cycles: () => [], inflow: () => [] },
    sources: () => [],
    recordEnd_s: null,
    log: (line) => console.error(line),
    onChange() {},
  });
  if (isNew)
    console.error(
      `${outboxPath(path)} was made: it keeps what is sent (where undercroft run was given --store, give it here too)`,
    );
  return {
    siteFile,
    running: false,
    view: async () => alarms.desk.view(),
    async test(contact, by) {
      alarms.desk.test(contact, by, askedBy);
      return alarms.desk.view();
    },
    async close() {
      await alarms.close();
      lock?.release();
      handToOwner(path);
    },
  };
}

/** Of the daemon that answers with its alarms where the site's own would: it may be another's, or a simulation. */
async function watchedThere({ server }: SiteFile): Promise<SiteInfo | null> {
  try {
    if ((await askDaemon(server, "/api/alarms")).status !== 200) return null;
    return JSON.parse((await askDaemon(server, "/api/site")).body) as SiteInfo;
  } catch {
    return null;
  }
}

/** Two basins may have one name; a daemon of before tells of no record. */
function isOwn({ site, record }: SiteInfo, siteFile: SiteFile): boolean {
  return record === undefined ? site.name === siteFile.site.name : record === recordKey(siteFile.store.path);
}

async function ask(siteFile: SiteFile, path: string, body?: object): Promise<AlarmsAnswer> {
  const answer = await askDaemon(siteFile.server, path, body);
  if (answer.status === 200) return JSON.parse(answer.body) as AlarmsAnswer;
  const { error } = JSON.parse(answer.body) as ApiError;
  throw new Error(error);
}
