// `run --central`: starts the central view, says in plain words where and what, and stays until told to stop.

import { CannotStart } from "../cannot-start.ts";
import type { CentralFile } from "../central/config/central-file.ts";
import { loadCentralFile } from "../central/config/load-central-file.ts";
import { type Central, runCentral } from "../central/run-central.ts";
import { CannotListen } from "../listen-on.ts";
import { isLoopback } from "../server/guard.ts";
import { addressOf } from "../sources/mqtt/broker-link.ts";
import { stopOnSignal } from "../stop-on-signal.ts";

/** @returns when it has started; the process then ends by a signal */
export async function watchAll(path: string, given: { readonly host?: string; readonly port?: number }): Promise<void> {
  const loaded = loadCentralFile(path, given);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const log = (line: string) => console.log(line);
  try {
    const central = await runCentral(loaded.centralFile, { log });
    stopOnSignal(async () => {
      await central.stop();
      log("Stopped.");
    }, log);
    for (const line of greeting(loaded.centralFile, central)) log(line);
  } catch (error) {
    if (!(error instanceof CannotListen || error instanceof CannotStart)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  }
}

function* greeting({ view, basins, broker, server, logins }: CentralFile, { url }: Central): Generator<string> {
  yield `${view.name}: ${basins.length} ${basins.length === 1 ? "basin" : "basins"}, heard at ${addressOf(broker.url)}`;
  const inside = isLoopback(server.host) && !server.behindTlsProxy;
  const who = logins.length === 0 ? "without a log-in" : "with a log-in";
  yield `Open ${url} (${inside ? "from this machine only" : "also from other machines"}, ${who})`;
  if (process.stdout.isTTY) yield "Stop with Ctrl+C.";
}
