// A house of our invention with its alarms at work behind the real server and the built page: what is wrong, which
// channel fails and what time it is are given by hand.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Care } from "../../analysis/alarms/alarm.ts";
import { changedTable } from "../../analysis/alarms/changed-table.ts";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import { alarmDesk } from "../../daemon/alarms/alarm-desk.ts";
import { alarmTrouble } from "../../daemon/alarms/alarm-trouble.ts";
import { type AlarmsConfig, nobodyTold } from "../../daemon/alarms/alarms-config.ts";
import { asideOf } from "../../daemon/alarms/alarms-from-afar.ts";
import { type AlarmsViewParts, activeAlarms } from "../../daemon/alarms/alarms-view.ts";
import type { HeartbeatHealth } from "../../daemon/alarms/heartbeat.ts";
import { houseTime } from "../../daemon/alarms/house-time.ts";
import { openServiceBook } from "../../daemon/alarms/service-book.ts";
import type { LiveState } from "../../daemon/server/api-types.ts";
import { buildServer } from "../../daemon/server/build-server.ts";
import { createLiveFeed } from "../../daemon/server/live-feed.ts";
import { type House, house } from "../daemon/alarms/told-by-hand.ts";
import { site, situation as someSituation, testParts } from "../daemon/server/parts.ts";

export interface AlarmedHouse {
  readonly url: string;
  readonly at: House;
  /** What is wrong from that time on. */
  see(
    time_s: number,
    findings: readonly Finding[],
    situation?: Partial<Situation>,
    care?: Partial<Care>,
  ): Promise<void>;
  close(): Promise<void>;
}

/** 2026-03-04T06:10:00Z, a Wednesday. */
export const start_s = 1_772_604_600;

export const people: Partial<AlarmsConfig> = {
  contacts: [
    {
      name: "Ann",
      reach: [
        { by: "modem", to: "+1 555 0100" },
        { by: "mail", to: "ann@example.org" },
      ],
      quiet: { from_min: 1320, to_min: 420 },
      mostAnHour: 6,
    },
    { name: "Neighbour", reach: [{ by: "mail", to: "n@example.org" }], quiet: null, mostAnHour: 6 },
  ],
  call: [
    { contacts: ["Ann"], after_s: 0 },
    { contacts: ["Neighbour"], after_s: 600 },
  ],
};

export async function startAlarmedHouse(
  config: Partial<AlarmsConfig> = people,
  heartbeat: HeartbeatHealth | null = null,
): Promise<AlarmedHouse> {
  const folder = mkdtempSync(join(tmpdir(), "alarmed-house-"));
  const whole = { ...nobodyTold, ...config };
  const at = house(join(folder, "alarms.sqlite"), whole, start_s);
  let now: Situation = { ...someSituation, time_s: start_s, openFindings: [] };
  let news = 0;
  const view: AlarmsViewParts = {
    ...{ service: at.service, definitions: changedTable(whole.changes), config: whole, channels: at.channels },
    heartbeat: () => heartbeat,
    services: openServiceBook(at.service.outbox, whole, { house: houseTime("UTC"), now_s: at.clock.now_s }),
    now_s: at.clock.now_s,
  };
  const parts = testParts();
  const state = (): LiveState => ({
    ...parts.state(),
    situation: now,
    now_s: at.clock.now_s(),
    alarms: activeAlarms(view),
    aside: asideOf(at.service.alarms(), view.definitions),
    alarmNews: news,
    alarmTrouble: alarmTrouble(view),
  });
  const feed = createLiveFeed(state);
  const server = buildServer({
    ...parts,
    ...{ feed, state, alarms: alarmDesk(view, at.service) },
    siteInfo: { site: { ...site, name: "Hill House" }, invented: false, playing: null, version: "0.4.0" },
    pageFolder: join(import.meta.dirname, "../../dashboard/dist"),
  });
  const tell = () => {
    news++;
    feed.changed(true);
  };
  // What was asked for is sent in the next second of the house.
  let turning = Promise.resolve();
  server.addHook("onResponse", async ({ method }) => {
    if (method !== "POST") return;
    turning = turning.then(() => at.clock.turnTo(at.clock.now_s() + 1)).then(tell);
  });
  const ticking = setInterval(() => feed.changed(), 1000);
  const url = await server.listen({ host: "127.0.0.1", port: 0 });
  return {
    url: `${url}/`,
    at,
    async see(time_s, findings, situation = {}, care = {}) {
      await at.see(time_s, findings, situation, care);
      now = { ...now, ...situation, time_s, openFindings: findings };
      tell();
    },
    async close() {
      clearInterval(ticking);
      await server.close();
      await turning;
      await at.close();
      rmSync(folder, { recursive: true });
    },
  };
}
