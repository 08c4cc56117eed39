// Who is told of alarms, by which channel, in which order, and what differs from the table: the `alarms` group of the site
// file as it is inside.

import type { AlarmName } from "../../analysis/alarms/alarm.ts";
import type { AlarmChanges } from "../../analysis/alarms/changed-table.ts";
import type { OfAKind } from "../config/of-kinds.ts";

export interface AlarmsConfig {
  /** Each passed the schema of its kind (channels/index.ts). */
  readonly channels: readonly OfAKind[];
  readonly contacts: readonly Contact[];
  /** Steps of the escalation, earliest first: each is taken unless somebody has acknowledged before. */
  readonly call: readonly CallStep[];
  readonly callAgain: CallAgain;
  readonly changes: Readonly<Partial<Record<AlarmName, AlarmChanges>>>;
  /** Address under which a contact reaches the page, without a slash at the end; null: messages carry no link. */
  readonly pageAddress: string | null;
  readonly monthlyProof: boolean;
  readonly heartbeat: { readonly url: string; readonly every_s: number } | null;
  readonly service: { readonly last: string | null; readonly every_s: number };
  /** After so long without a run a test is advised; null: learned from the runs. */
  readonly unusualPause_s: number | null;
  /** Folder of the battery in sysfs; null: the first that the kernel shows. */
  readonly boardBattery: string | null;
}

export interface Contact {
  readonly name: string;
  /** Tried in this order. */
  readonly reach: readonly { readonly by: string; readonly to: string }[];
  /** Minutes after local midnight; only `high` comes through. Null: at any time. */
  readonly quiet: QuietHours | null;
  /** Messages in an hour at most; what is over is joined into one later. `high` has an allowance of its own, as large. */
  readonly mostAnHour: number;
}

export interface QuietHours {
  readonly from_min: number;
  readonly to_min: number;
}

export interface CallStep {
  readonly contacts: readonly string[];
  /** After the alarm was raised. */
  readonly after_s: number;
}

/** What is of high priority and unanswered after the last step goes round again so often, each pause twice the last. */
export interface CallAgain {
  readonly after_s: number;
  readonly times: number;
}

/** Of a site file without the group: everything stands on the page, nobody is told. */
export const nobodyTold: AlarmsConfig = {
  channels: [],
  contacts: [],
  call: [],
  callAgain: { after_s: 900, times: 5 },
  changes: {},
  pageAddress: null,
  monthlyProof: false,
  heartbeat: null,
  service: { last: null, every_s: 182 * 86_400 },
  unusualPause_s: null,
  boardBattery: null,
};
