// What a day at one reading a second writes to the card, everything included: readings, cycles, findings, inflow,
// roll-ups, checkpoints as the daemon saves them, the file system's own journal. The day is played fast; the card is
// waited for each played minute.

import { join } from "node:path";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import { startWatch } from "../../../daemon/watch.ts";
import { type SmallDisk, smallDisk } from "../../fault/small-disk.ts";
import { monthSiteFile, playMonth } from "../month/month.ts";

export interface Wear {
  readonly day_B: number;
  readonly cycles: number;
  readonly checkpoint_B: number;
}

/** Null where a disk of its own cannot be had. */
export function measureWear(days: number): Wear | null {
  const disk = smallDisk(64);
  if (disk === null) return null;
  try {
    return playOn(disk, days);
  } finally {
    disk.remove();
  }
}

function playOn(disk: SmallDisk, days: number): Wear {
  const { site } = siteOfMonth();
  const month = playMonth(days);
  const store = openSqliteStore(join(disk.folder, "store.sqlite"));
  let now_s = 0;
  let cycles = 0;
  let onCard = 0; // the last time that the store put anything on the card
  const watch = startWatch({
    site,
    store,
    createAnalyzer,
    version: "bench",
    now_s: () => now_s,
    listener: {
      cycle() {
        cycles++;
        onCard = now_s;
      },
    },
  });
  const before_B = disk.written_B();
  for (let i = 0; i < month.rows; i++) {
    now_s = i;
    watch.take({
      time_s: (month.time_ms[i] ?? 0) / 1000,
      level_m: (month.level_mm[i] ?? 0) / 1000,
      pumpOn: month.pumpOn[i] === 1,
    });
    watch.tick();
    if (i - onCard < 60) continue;
    store.flush();
    onCard = i;
  }
  const day_B = (disk.written_B() - before_B) / days;
  const checkpoint_B = JSON.stringify(store.checkpoint()).length;
  store.close();
  return { day_B, cycles, checkpoint_B };
}

function siteOfMonth() {
  const parsed = parseSiteFile(monthSiteFile, "month.yaml", []);
  if (!parsed.ok) throw new Error("the bench's site file does not hold");
  return parsed.siteFile;
}
