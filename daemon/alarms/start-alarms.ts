// Puts the alarms of a site file together: outbox beside the record, channels, table, care.

import { join, parse } from "node:path";
import type { AlarmChange } from "../../analysis/alarms/alarm-book.ts";
import { changedTable } from "../../analysis/alarms/changed-table.ts";
import type { SiteFile } from "../config/site-file.ts";
import type { ActiveAlarm, AlarmAside, AlarmTrouble } from "../server/alarms-types.ts";
import type { AlarmDesk } from "../server/server-parts.ts";
import { schedule } from "../sources/schedule.ts";
import type { SourceHealth } from "../sources/source.ts";
import { alarmDesk } from "./alarm-desk.ts";
import { type AlarmService, startAlarmService } from "./alarm-service.ts";
import { alarmTrouble } from "./alarm-trouble.ts";
import { nobodyTold } from "./alarms-config.ts";
import { alarmsFromAfar, asideOf, type ToldFromAfar } from "./alarms-from-afar.ts";
import { type AlarmsViewParts, activeAlarms } from "./alarms-view.ts";
import type { HouseRecord } from "./care/house-habits.ts";
import { watchOverItself } from "./care/watch-over-itself.ts";
import type { ChannelKind } from "./channels/channel.ts";
import { channelKinds } from "./channels/index.ts";
import { startHeartbeat } from "./heartbeat.ts";
import { holdDrills } from "./hold-drills.ts";
import { houseTime } from "./house-time.ts";
import { openChannels } from "./open-channels.ts";
import { type OrdersFromAfar, ordersFromAfar } from "./orders-from-afar.ts";
import { openOutbox } from "./outbox/outbox.ts";
import { openServiceBook } from "./service-book.ts";

export interface AlarmsAround {
  readonly kinds?: readonly ChannelKind[];
  readonly now_s: () => number;
  /** How far the wall clock has stepped away from `now_s`; absent: not. */
  readonly wallStep_s?: () => number;
  readonly store: HouseRecord;
  sources(): readonly SourceHealth[];
  readonly recordEnd_s: number | null;
  /**
   * Of a basin that is simulated: its alarms stand on the page as they would, in its own time, while nobody is told, nothing
   * is kept, and how this machine does is nothing to it.
   */
  readonly rehearsal?: boolean;
  /** Times of the newest readings on record, oldest first. */
  readonly latestReadings_s?: readonly number[];
  log(line: string): void;
  onChange(changes: readonly AlarmChange[]): void;
}

const allWellHere = { silentSince_s: null, interrupted: null, boardBattery: null };

/** The outbox of a record: `site.sqlite` has `site.alarms.sqlite`. */
export function outboxPath(storePath: string): string {
  return beside(storePath, "alarms.sqlite");
}

function beside(storePath: string, ending: string): string {
  const { dir, name } = parse(storePath);
  return join(dir, `${name}.${ending}`);
}

export interface Alarms extends OrdersFromAfar {
  readonly service: AlarmService;
  readonly desk: AlarmDesk;
  active(): readonly ActiveAlarm[];
  aside(): readonly AlarmAside[];
  fromAfar(): ToldFromAfar;
  /** Counts what has changed. */
  news(): number;
  trouble(): AlarmTrouble;
  /** Takes the rain of a reading, null where it has none. */
  rain(time_s: number, rain_m: number | null): void;
  close(): Promise<void>;
}

export function startAlarms(siteFile: SiteFile, around: AlarmsAround): Alarms {
  const { site, store, baseFolder } = siteFile;
  const { now_s, log, rehearsal = false } = around;
  const config = rehearsal ? { ...nobodyTold, changes: siteFile.alarms.changes } : siteFile.alarms;
  const outbox = openOutbox(rehearsal ? null : outboxPath(store.path), { now_s, log });
  const definitions = changedTable(config.changes);
  let service: AlarmService | null = null;
  let news = 0;
  let toldFromAfar: { readonly news: number; readonly told: ToldFromAfar } | null = null;
  const channels = openChannels(config.channels, around.kinds ?? channelKinds, (name) => ({
    siteName: site.name,
    addresses: config.contacts.flatMap(({ reach }) => reach.filter(({ by }) => by === name).map(({ to }) => to)),
    baseFolder,
    beside: (ending) => beside(store.path, ending),
    now_s,
    log: (line) => log(`${name}: ${line}`),
    onReply: (from, text) => service?.answer(from, text, name),
    onReceipt: (key, delivered, reason) => service?.receipt(name, key, delivered, reason),
  }));
  const changed = (changes: readonly AlarmChange[]) => {
    news++;
    around.onChange(changes);
  };
  const house = houseTime(site.timezone, around.wallStep_s, now_s());
  const services = openServiceBook(outbox, config, { house, now_s, onChange: () => changed([]) });
  const self = watchOverItself({
    config,
    store: around.store,
    sources: around.sources,
    now_s,
    recordEnd_s: around.recordEnd_s,
    latestReadings_s: around.latestReadings_s ?? [],
    lastAlive_s: Number(outbox.note("alive")),
    keepAlive: (time_s) => outbox.setNote("alive", String(time_s)),
    serviceDue_s: services.due_s,
  });
  const started = startAlarmService({
    site,
    config,
    definitions,
    outbox,
    channels: channels.byName,
    care: rehearsal ? (situation) => ({ ...self.care(situation), ...allWellHere }) : self.care,
    now_s,
    house,
    schedule,
    log,
    onChange: changed,
  });
  service = started;
  const drills = rehearsal ? null : holdDrills({ site, definitions, config }, { now_s, schedule, log });
  const unwatched = () => started.unwatched() ?? drills?.problem() ?? null;
  const heartbeat =
    config.heartbeat === null ? null : startHeartbeat(config.heartbeat, { schedule, now_s, log, unwatched });
  const view: AlarmsViewParts = {
    ...{ service: started, definitions, config, channels: channels.byName, services, now_s },
    heartbeat: () => heartbeat?.health() ?? null,
  };
  return {
    service: started,
    desk: alarmDesk(view, started),
    active: () => activeAlarms(view),
    aside: () => asideOf(started.alarms(), definitions),
    ...ordersFromAfar(started, definitions, now_s, log),
    fromAfar() {
      if (toldFromAfar?.news !== news) {
        const told = alarmsFromAfar(started.alarms(), definitions, outbox, services, now_s());
        toldFromAfar = { news, told };
      }
      return toldFromAfar.told;
    },
    news: () => news,
    trouble: () => alarmTrouble(view),
    rain: self.rain,
    async close() {
      drills?.close();
      heartbeat?.close();
      self.close();
      await started.close(); // first: what a channel says while it closes is no answer to a message
      await channels.close();
    },
  };
}
