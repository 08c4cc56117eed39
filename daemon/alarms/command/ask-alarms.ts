// The alarms of a site for a command: those of the daemon that runs, else opened here for as long as the command lasts.

import { existsSync } from "node:fs";
import { loadSiteFile } from "../../config/load-site-file.ts";
import type { SiteFile } from "../../config/site-file.ts";
import type { AlarmsAnswer, ApiError } from "../../server/api-types.ts";
import { inUrl } from "../../server/guard.ts";
import { outboxPath, startAlarms } from "../start-alarms.ts";

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
  const { host, port } = siteFile.server;
  const base = `http://${host === "0.0.0.0" ? "127.0.0.1" : host === "::" ? "[::1]" : inUrl(host)}:${port}`;
  const running = await answers(`${base}/api/alarms`);
  return running ? ofDaemon(siteFile, base) : openedHere(siteFile);
}

function ofDaemon(siteFile: SiteFile, base: string): AskedAlarms {
  return {
    siteFile,
    running: true,
    view: () => ask(`${base}/api/alarms`),
    test: (contact, by) =>
      ask(`${base}/api/alarms/test`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ contact, by }),
      }),
    async close() {},
  };
}

function openedHere(siteFile: SiteFile): AskedAlarms {
  const isNew = !existsSync(outboxPath(siteFile.store.path));
  const alarms = startAlarms(siteFile, {
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

async function answers(url: string): Promise<boolean> {
  try {
    const answer = await fetch(url, { signal: AbortSignal.timeout(2000) });
    await answer.body?.cancel();
    return answer.ok;
  } catch {
    return false;
  }
}

async function ask(url: string, init: RequestInit = {}): Promise<AlarmsAnswer> {
  const answer = await fetch(url, init);
  if (answer.ok) return answer.json() as Promise<AlarmsAnswer>;
  const { error } = (await answer.json()) as ApiError;
  throw new Error(error);
}
