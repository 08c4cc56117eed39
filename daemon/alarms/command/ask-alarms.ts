// The alarms of a site for a command: those of the daemon that runs, else opened here for as long as the command lasts.

import { existsSync } from "node:fs";
import { loadSiteFile } from "../../config/load-site-file.ts";
import type { SiteFile } from "../../config/site-file.ts";
import type { AlarmsAnswer, ApiError } from "../../server/api-types.ts";
import { outboxPath, startAlarms } from "../start-alarms.ts";
import { askDaemon } from "./ask-daemon.ts";

export interface AskedAlarms {
  readonly siteFile: SiteFile;
  /** Whether the daemon answers; else nobody watches now. */
  readonly running: boolean;
  view(): Promise<AlarmsAnswer>;
  /** @throws {Error} when there is no such contact or channel */
  test(contact: string, by: string | null): Promise<AlarmsAnswer>;
  close(): Promise<void>;
}

/** @returns null when the site file is wrong, which has then been said */
export async function askAlarms(sitePath: string): Promise<AskedAlarms | null> {
  const loaded = loadSiteFile(sitePath);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return null;
  }
  const { siteFile } = loaded;
  return (await answers(siteFile)) ? ofDaemon(siteFile) : openedHere(siteFile);
}

function ofDaemon(siteFile: SiteFile): AskedAlarms {
  return {
    siteFile,
    running: true,
    view: () => ask(siteFile, "/api/alarms"),
    test: (contact, by) => ask(siteFile, "/api/alarms/test", { contact, by }),
    async close() {},
  };
}

function openedHere(siteFile: SiteFile): AskedAlarms {
  const isNew = !existsSync(outboxPath(siteFile.store.path));
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
  if (isNew) console.error(`${outboxPath(siteFile.store.path)} was made: it keeps what is sent`);
  return {
    siteFile,
    running: false,
    view: async () => alarms.desk.view(),
    async test(contact, by) {
      alarms.desk.test(contact, by);
      return alarms.desk.view();
    },
    close: alarms.close,
  };
}

async function answers(siteFile: SiteFile): Promise<boolean> {
  try {
    return (await askDaemon(siteFile.server, "/api/alarms")).status === 200;
  } catch {
    return false;
  }
}

async function ask(siteFile: SiteFile, path: string, body?: object): Promise<AlarmsAnswer> {
  const answer = await askDaemon(siteFile.server, path, body);
  if (answer.status === 200) return JSON.parse(answer.body) as AlarmsAnswer;
  const { error } = JSON.parse(answer.body) as ApiError;
  throw new Error(error);
}
