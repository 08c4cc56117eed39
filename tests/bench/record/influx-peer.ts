// The same readings in Debian's influxd, after it has compacted them: as the points that a board forwards, whose levels
// are whole steps of the sensor, and as floats.

import { setTimeout as sleep } from "node:timers/promises";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { readingLines } from "../../../daemon/stores/exchange/line-protocol.ts";
import { startInfluxd } from "../../real/influxd.ts";
import type { Month } from "../month/month.ts";

export type LevelsAs = "steps" | "floats";

/** Points of one request. */
const atOnce = 10_000;
/** It compacts what has been cold for so long. */
const cold_s = 3;

/** Bytes a reading, index and all but the log, which is empty by then; null where there is no influxd. */
export async function inInfluxd(month: Month, as: LevelsAs): Promise<number | null> {
  const data = [`cache-snapshot-write-cold-duration = "${cold_s}s"`, `compact-full-write-cold-duration = "${cold_s}s"`];
  const influxd = await startInfluxd({ lines: { data } }).catch(() => null);
  if (influxd === null) return null;
  try {
    await influxd.query("CREATE DATABASE bench");
    let lines: string[] = [];
    for (const line of as === "steps" ? readingLines(readings(month), "a") : floatLines(month)) {
      if (lines.push(line) < atOnce) continue;
      await write(influxd.url, lines);
      lines = [];
    }
    await write(influxd.url, lines);
    return (await compacted(influxd.query)) / month.rows;
  } finally {
    await influxd.dispose();
  }
}

function* readings({ rows, time_ms, level_mm, pumpOn }: Month) {
  for (let i = 0; i < rows; i++) {
    const level_m = Math.round((level_mm[i] ?? 0) * 10) / 10_000;
    yield { ...silentReading, time_s: (time_ms[i] ?? 0) / 1000, level_m, pumpOn: pumpOn[i] === 1 };
  }
}

function* floatLines({ rows, time_ms, level_mm, pumpOn }: Month) {
  for (let i = 0; i < rows; i++) {
    const level_m = Math.round((level_mm[i] ?? 0) * 10) / 10_000;
    yield `reading,basin=a level_m=${level_m},pumpOn=${pumpOn[i] === 1 ? "t" : "f"} ${time_ms[i]}000000\n`;
  }
}

async function write(url: string, lines: readonly string[]): Promise<void> {
  const { status } = await fetch(`${url}/write?db=bench`, { method: "POST", body: lines.join("") });
  if (status !== 204) throw new Error(`influxd answers ${status} to points`);
}

/** Waits until its files have stayed the same for a while. */
async function compacted(query: Awaited<ReturnType<typeof startInfluxd>>["query"]): Promise<number> {
  let before = "";
  for (let same = 0; same < 5; ) {
    await sleep(cold_s * 1000);
    const sizes = (await query("SHOW STATS FOR 'tsm1_filestore'")).results[0]?.series ?? [];
    const now = JSON.stringify(sizes.map(({ tags, values }) => [tags?.id, values[0]]));
    same = now === before ? same + 1 : 0;
    before = now;
  }
  const series = (await query("SHOW STATS FOR 'tsm1_filestore'")).results[0]?.series ?? [];
  return series
    .filter(({ tags }) => tags?.database === "bench")
    .reduce((sum, { columns, values }) => sum + Number(values[0]?.[columns.indexOf("diskBytes")] ?? 0), 0);
}
