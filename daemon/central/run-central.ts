// Builds the parts of the central view from its file, starts them, and stops them in reverse. Signals, exit codes and
// what is printed belong to the command.

import { fileURLToPath } from "node:url";
import packageFile from "../../package.json" with { type: "json" };
import { cannotStart } from "../cannot-start.ts";
import { type Clock, systemClock } from "../clock.ts";
import { readNamedFile } from "../config/named-file.ts";
import { listenOn } from "../listen-on.ts";
import { schedule } from "../sources/schedule.ts";
import { sessions } from "./access/session.ts";
import { sessionKey } from "./access/session-key.ts";
import { type Basins, knownBasins } from "./basins.ts";
import { type BrokerEar, openBrokerEar } from "./broker-ear.ts";
import type { OverviewRow } from "./central-types.ts";
import type { CentralFile } from "./config/central-file.ts";
import { type Database, openDatabase } from "./database.ts";
import { drillDown } from "./drill-down.ts";
import { maySee, overview } from "./overview.ts";
import { overviewFeed } from "./overview-feed.ts";
import { type PhoneTeller, tellPhones } from "./phones/tell-phones.ts";
import { recallUnheard } from "./recall.ts";
import { sayRefused } from "./say-refused.ts";
import { accessTo } from "./server/access.ts";
import { buildCentralServer } from "./server/build-central-server.ts";

export interface CentralOptions {
  /** One line for each thing that happens. */
  log(line: string): void;
  readonly clock?: Clock;
  readonly openEar?: typeof openBrokerEar;
  readonly database?: Database;
  /** Of the overview, and of one basin. */
  readonly pageFolders?: { readonly overview: string; readonly basin: string };
}

export interface Central {
  /** Address of the page. */
  readonly url: string;
  stop(): Promise<void>;
}

const builtPages = {
  overview: fileURLToPath(new URL("../../dashboard/dist-central", import.meta.url)),
  basin: fileURLToPath(new URL("../../dashboard/dist", import.meta.url)),
};

/** @throws {CannotStart} when the phones' file can neither be read nor made */
function openTeller(
  { phones = null, view, logins, baseFolder }: CentralFile,
  basins: Basins,
  { now_s, log }: { now_s(): number; log(line: string): void },
): PhoneTeller | null {
  if (phones === null) return null;
  try {
    return tellPhones({
      ...{ phones, viewName: view.name, now_s, schedule, log },
      ca: phones.ca === null ? null : readNamedFile("phones.ca", phones.ca, baseFolder),
      maySee(person, name) {
        const basin = basins.get(name);
        const login = logins.find((each) => each.name === person);
        if (basin === undefined || (login === undefined && logins.length > 0)) return false;
        return maySee(login?.customer ?? null, basin);
      },
    });
  } catch (error) {
    cannotStart(error);
  }
}

const recallAfter_ms = 10_000;

/**
 * @throws {CannotListen} when another program has the port
 * @throws {CannotStart} when a file that is named cannot be read
 */
export async function runCentral(centralFile: CentralFile, options: CentralOptions): Promise<Central> {
  await using started = new AsyncDisposableStack();
  const { log, clock = systemClock(), pageFolders = builtPages } = options;
  const { now_s } = clock;
  const database = options.database ?? (await openDatabase(centralFile).catch(cannotStart));
  const basins = knownBasins(centralFile, now_s);
  const unheard = () => [...basins.all()].filter(({ heard }) => heard.situation === null).map(({ name }) => name);
  const openEar = options.openEar ?? openBrokerEar;
  const ear: BrokerEar = await openEar(centralFile, { now_s, take: basins.take, unheard, log }).catch(cannotStart);
  started.defer(() => ear.close());
  started.defer(sayRefused(basins.refused, log));

  const view = { name: centralFile.view.name, timezone: centralFile.view.timezone };
  const at = () => ({ now_s: now_s(), timezone: view.timezone, hearing_s: ear.hearing_s() });
  const teller = openTeller(centralFile, basins, { now_s, log });
  started.defer(() => teller?.close());
  const onRow = (row: OverviewRow) => teller?.see(row);
  const all = overview({ basins, view, version: packageFile.version, at, brokerLost: ear.lost, onRow });
  const feed = overviewFeed(all, now_s);
  started.defer(() => feed.close());
  const basinPages = drillDown({ basins, ear, now_s, database, pageFolder: pageFolders.basin });
  started.defer(() => basinPages.close());

  const key = sessionKey(centralFile.server.sessionKeyFile);
  const access = accessTo(centralFile, sessions(centralFile.logins, key, now_s), now_s);
  const server = buildCentralServer({
    centralFile,
    access,
    basins,
    overview: all,
    feed,
    drillDown: basinPages,
    teller,
    ear,
    pageFolder: pageFolders.overview,
  });
  started.defer(() => server.close());
  const address = await listenOn(server, centralFile.server);
  // By then the broker has handed over all that it kept.
  const recall = setTimeout(() => void recallUnheard({ basins, database, log }), recallAfter_ms);
  started.defer(() => clearTimeout(recall));
  const running = started.move();
  return {
    url: address,
    stop: () => running.disposeAsync(),
  };
}
