// A child that takes readings and forwards them as hard as it can, until it is killed.
// Run: node forward-until-killed.ts FOLDER URL FIRST-TIME
// It says `open` when it has begun. Each life carries on with the readings where the one before ended.

import { join } from "node:path";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { silentReading } from "../../analysis/readings/reading.ts";
import { forwardRecord } from "../../daemon/forward/forward-record.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startWatch } from "../../daemon/watch.ts";
import { courseAt, smallSite } from "../analysis/small-basin.ts";

const [folder = "", url = "", first_s = ""] = process.argv.slice(2);
const version = "1";
const now_s = () => Date.now() / 1000;
const store = openSqliteStore(join(folder, "store.db"), { writeAfter_ms: 20 });
const config = { url, database: "undercroft", basin: "elm-7", timeout: 30, every_s: 0.01, replaces: null };
const forwarding = forwardRecord(store, config);
const watch = startWatch({ site: smallSite, store: forwarding.store, createAnalyzer, version, now_s });
const forwarder = forwarding.start({
  baseFolder: folder,
  siteInfo: { site: smallSite, invented: true, playing: "simulated", version },
  summary: watch.summary,
  now_s,
  log: console.error,
  settle_ms: 1,
  pace: { together_s: 0.001, first_s: 0.01, longest_s: 0.05, refused_s: 0.05, most: 200, share: 1 },
});
let next_s = (watch.newest_s() ?? Number(first_s) - 1) + 1;
let taken = 0;
console.log("open");

setInterval(() => {
  for (let i = 0; i < 20; i++) takeOne();
  forwarder.tick();
  // The place comes into the file with a checkpoint, at any moment.
  if (Math.random() < 0.05) watch.keepPlace();
}, 5);

function takeOne(): void {
  const time_s = next_s;
  // Some of the very same instant; a finding every 1000 s.
  if (taken++ % 7 !== 0) next_s++;
  // No two readings are alike, so that one that is doubled or lost shows.
  const noise_m = ((taken * 7919) % 1009) / 1e6;
  const course = courseAt(time_s);
  watch.take({
    ...silentReading,
    time_s,
    level_m: course.level_m + noise_m,
    pumpOn: course.pumpOn,
    mainsOn: time_s % 1000 >= 50,
  });
}
