// Raises high water and tells of it, in a process of its own that the test kills. Ready when it has said so; begins with a
// line on standard input: when the water rose, the time now, whether it lasts, and for how long before it is told. What the person
// was told stands in a file, a line each.

import { appendFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { changedTable } from "../../analysis/alarms/changed-table.ts";
import { startAlarmService } from "../../daemon/alarms/alarm-service.ts";
import { nobodyTold } from "../../daemon/alarms/alarms-config.ts";
import { openOutbox } from "../../daemon/alarms/outbox/outbox.ts";
import { schedule } from "../../daemon/sources/schedule.ts";
import { allWell, calm, finding } from "../analysis/alarms/alarm-input.ts";
import { smallSite } from "../analysis/small-basin.ts";

const folder = process.argv[2] ?? ".";
/** Seconds that pass in one: what is thought of ahead is so some hundredths of one before it is told. */
const haste = 20;
const contact = { name: "Ann", reach: [{ by: "paper", to: "Ann" }], quiet: null, mostAnHour: 60_000 };

console.log("ready");
for await (const line of createInterface({ input: process.stdin })) {
  const [from_s = 0, start_s = 0, lasts = 0, onDelay_s = 0] = line.split(" ").map(Number);
  const changes = { "high-water": { onDelay_s, offDelay_s: 0 } };
  const begun_ms = performance.now();
  const service = startAlarmService({
    site: smallSite,
    config: {
      ...nobodyTold,
      ...{ contacts: [contact], call: [{ contacts: ["Ann"], after_s: 0 }], changes },
      callAgain: { after_s: 900, times: 0 },
    },
    definitions: changedTable(changes),
    outbox: openOutbox(join(folder, "alarms.sqlite")),
    channels: new Map([
      [
        "paper",
        {
          name: "paper",
          comparesKeys: false,
          takesReplies: false,
          channel: {
            async send({ data, maybeRepeated }) {
              await new Promise((resolve) => setImmediate(resolve));
              const [alarm] = (data as { alarms: { kind: string; from_s: number }[] }).alarms;
              appendFileSync(join(folder, "told"), `${alarm?.kind} ${alarm?.from_s} ${maybeRepeated}\n`);
              return { is: "delivered" };
            },
            health: () => ({ problem: null, note: null }),
            close() {},
          },
        },
      ],
    ]),
    care: () => allWell,
    now_s: () => start_s + ((performance.now() - begun_ms) / 1000) * haste,
    schedule: (run, wait_s) => schedule(run, wait_s / haste),
    log() {},
  });
  service.see({ ...calm, openFindings: lasts === 1 ? [finding("high-water", from_s)] : [] });
  const done = () => service.outbox.waiting().length === 0 && service.outbox.messages(1)[0]?.state === "sent";
  while (!done()) await new Promise((resolve) => setTimeout(resolve, 2));
  console.log("done");
}
