// Writes readings as a recording, with rows late and doubled, a clock that steps and local stamps, and reads it back
// through the project's own reader.

import type { Reading } from "../../analysis/readings/reading.ts";
import { readRecording } from "../../daemon/recordings/read-recording.ts";
import type { Plan } from "./plan.ts";
import { epoch_s } from "./play.ts";
import { type Random, randomOf } from "./random.ts";

const linesAtOnce = 20_000;

/** @returns what the reader has to object to */
export async function readBack(
  plan: Plan,
  readings: Iterable<Reading>,
  onReading: (reading: Reading) => void,
  onRestart: () => void,
): Promise<readonly string[]> {
  const { zone } = plan.rows;
  const { problems } = await readRecording(
    "-",
    { stdin: chunks(plan, readings), onRestart, ...(zone !== null && { timezone: zone }) },
    onReading,
  );
  return problems;
}

async function* chunks(plan: Plan, readings: Iterable<Reading>): AsyncGenerator<Uint8Array> {
  const random = randomOf(plan.site.basin.depth_m ?? 0, plan.weather.dry_lpm, "disorder");
  const stamp = stamper(plan);
  let lines = ["time,level_mm,pump_on,high_float,mains_on"];
  for (const reading of disordered(plan, readings, random)) {
    const cells = [
      stamp(reading.time_s),
      reading.level_m === null ? "" : (reading.level_m * 1000).toFixed(1),
      contact(reading.pumpOn),
      contact(reading.highFloat),
      contact(reading.mainsOn),
    ];
    lines.push(cells.join(","));
    if (lines.length < linesAtOnce) continue;
    yield new TextEncoder().encode(`${lines.join("\n")}\n`);
    lines = [];
  }
  yield new TextEncoder().encode(`${lines.join("\n")}\n`);
}

function contact(on: boolean | null): string {
  return on === null ? "" : on ? "1" : "0";
}

/** Rows come up to eight places late, and some twice. */
function* disordered({ rows }: Plan, readings: Iterable<Reading>, random: Random): Iterable<Reading> {
  let late: { reading: Reading; after: number }[] = [];
  for (const reading of readings) {
    if (random.chance(rows.lateShare)) late.push({ reading, after: 1 + Math.floor(random.between(0, 8)) });
    else yield reading;
    if (random.chance(rows.doubledShare)) yield reading;
    for (const row of late) row.after -= 1;
    for (const row of late) if (row.after <= 0) yield row.reading;
    late = late.filter((row) => row.after > 0);
  }
  for (const row of late) yield row.reading;
}

function stamper({ rows: { clock, zone } }: Plan): (time_s: number) => string {
  const wall_s = (time_s: number) => (clock !== null && time_s - epoch_s >= clock.at_s ? time_s + clock.by_s : time_s);
  if (zone === null) return (time_s) => new Date(Math.round(wall_s(time_s) * 1000)).toISOString();
  return (time_s) =>
    Temporal.Instant.fromEpochMilliseconds(Math.round(wall_s(time_s) * 1000))
      .toZonedDateTimeISO(zone)
      .toPlainDateTime()
      .toString({ smallestUnit: "second" });
}
