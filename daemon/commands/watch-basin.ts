// What `run` and `demo` share: start the daemon, say in plain words where and what, and stay until told to stop.

import { flushCompileCache } from "node:module";
import { CannotStart } from "../cannot-start.ts";
import type { SiteFile } from "../config/site-file.ts";
import { CannotListen } from "../listen-on.ts";
import { type Daemon, runDaemon } from "../run-daemon.ts";
import { isLoopback } from "../server/guard.ts";
import { stopOnSignal } from "../stop-on-signal.ts";
import { StoreError } from "../stores/store-error.ts";

export interface WatchBasinOptions {
  /** Where the port is taken: the next that is free, instead of an error. */
  readonly orNextFreePort?: boolean;
}

/** @returns when it has started; the process then ends by a signal */
export async function watchBasin(siteFile: SiteFile, options: WatchBasinOptions = {}): Promise<void> {
  const log = (line: string) => console.log(line);
  try {
    const daemon = await runDaemon(siteFile, { log, ...options });
    stopOnSignal(async () => {
      await daemon.stop();
      log("Stopped.");
    }, log);
    for (const line of greeting(siteFile, daemon)) log(line);
    flushCompileCache(); // now, not at the exit: a board's power goes away without one
  } catch (error) {
    if (!(error instanceof StoreError || error instanceof CannotListen || error instanceof CannotStart)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  }
}

function* greeting({ site, sources, server, store }: SiteFile, { url, invented }: Daemon): Generator<string> {
  const watched = sources.map(({ kind, name }) => `${kind} "${name}"`).join(", ");
  yield `Watching ${site.name}: ${watched === "" ? "the record only, no source is read" : watched}`;
  if (invented) yield "This is a simulation: the house, its water and its troubles are invented.";
  else yield `The record is kept in ${store.path}`;
  const reach = isLoopback(server.host) ? "from this machine only" : "also from other machines of this network";
  yield `Open ${url} (${reach})`;
  if (process.stdout.isTTY) yield "Stop with Ctrl+C.";
}
