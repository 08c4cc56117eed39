// Plays a plan: the readings as a board would have stored them, and beside them what really happened.

import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { changesOf } from "./as-written.ts";
import { day_s, type Plan } from "./plan.ts";
import { plantOf, type Totals } from "./plant.ts";
import { type Random, randomOf } from "./random.ts";
import { sensesOf } from "./senses.ts";
import { vesselOf } from "./vessel.ts";
import { inflowOf } from "./weather.ts";
import { type TrueCycle, type TrueState, tick_s, witnessOf } from "./witness.ts";

export interface Stretch {
  readonly from_s: number;
  readonly to_s: number;
}

/** All times are seconds from `epoch_s`. */
export interface Truth {
  readonly duration_s: number;
  readonly cycles: readonly TrueCycle[];
  readonly states: readonly TrueState[];
  readonly peak_m3s: Readonly<Record<"60" | "600" | "3600", number>>;
  readonly totals: Totals;
  /** Of it, what passed in silences that a reading ended, and how long they were: nobody can know. */
  readonly unseen: { inflow_m3: number; pumped_m3: number; duration_s: number };
  /** Water in basin and riser at the end less that at the beginning. */
  readonly stored_m3: number;
  /** Silences between readings. */
  readonly gaps: readonly Stretch[];
  /** Between readings that said something new of the level, where the sensor said the same again while the pump ran unseen. */
  readonly blind: readonly Stretch[];
}

export interface Played {
  /** To be read once, to the end. */
  readonly readings: Iterable<Reading>;
  /** Once all the readings have been read. */
  truth(): Truth;
}

type Seen = Omit<Reading, "time_s">;

/** 2026-10-31T00:00:00Z: the clocks of North America are set back a day later. */
export const epoch_s = 1_793_404_800;

export function play(plan: Plan, ...words: readonly (string | number)[]): Played {
  const duration_s = plan.days * day_s;
  const { site, trips } = plan;
  const switched: { time_s: number; on: boolean }[] = [];
  const plant = plantOf({
    vessel: vesselOf(site.basin.geometry),
    inflow: inflowOf(plan.weather, duration_s, randomOf(...words, "weather")),
    pump: plan.pump,
    pipe: plan.pipe,
    startTrip_m: trips.start_m,
    stopTrip_m: trips.stop_m,
    tripScatter_m: trips.scatter_m,
    spinUp_s: plan.spinUp_s,
    rim_m: site.basin.overflowLevel_m ?? 10,
    first: plan.condition,
    changes: plan.changes,
    wear: plan.wear,
    second: plan.second,
    standby: plan.standby ?? null,
    firstLevel_m: trips.stop_m + 0.01,
    random: randomOf(...words, "floats"),
    onPumps(time_s, set) {
      witness.pumps(time_s, set);
      if (plan.events) switched.push({ time_s, on: set !== 0 });
    },
  });
  const witness = witnessOf(plant, site, trips, plan.second);
  const stored_m3 = () => plant.state.volume_m3 + plant.state.riser_m3;
  const atFirst_m3 = stored_m3();
  const senses = sensesOf(plan.senses, plant, site.basin.highLevel_m ?? 10, randomOf(...words, "senses"));
  const rows = rowsKept(plan, randomOf(...words, "rows"));
  let nextTick_s = tick_s;
  const unseen = { inflow_m3: 0, pumped_m3: 0, duration_s: 0 };
  const silence_s = Math.max(60, 20 * plan.sample_s);
  const last = { time_s: 0, inflow_m3: 0, pumped_m3: 0 };
  const blind: Stretch[] = [];
  const told = { time_s: 0, again: false, pumped_m3: 0 };

  function advance(to_s: number): void {
    for (; nextTick_s <= to_s; nextTick_s += tick_s) {
      plant.advanceTo(nextTick_s);
      witness.tick();
    }
    plant.advanceTo(to_s);
  }

  function noteSeen(time_s: number): void {
    const { inflow_m3, pumped_m3 } = plant.totals;
    if (time_s - last.time_s > silence_s && !plan.events) {
      unseen.inflow_m3 += inflow_m3 - last.inflow_m3;
      unseen.pumped_m3 += pumped_m3 - last.pumped_m3;
      unseen.duration_s += time_s - last.time_s;
    }
    Object.assign(last, { time_s, inflow_m3, pumped_m3 });
  }

  /** Neither the level nor a contact says when between two readings the pump ran. */
  function noteBlind(time_s: number, { level_m, pumpOn, pump2On, floatOn, pumpCurrent_a, pumpPower_w }: Seen): void {
    const runs = (pumpOn ?? pump2On ?? floatOn ?? pumpCurrent_a ?? pumpPower_w) !== null && plant.state.set !== 0;
    if (level_m !== null && senses.saysAgain() && !runs) {
      told.again = true;
      return;
    }
    const { pumped_m3 } = plant.totals;
    if (told.again && !runs && pumped_m3 > told.pumped_m3) blind.push({ from_s: told.time_s, to_s: time_s });
    Object.assign(told, { time_s, again: false, pumped_m3 });
  }

  function* readings(): Generator<Reading> {
    const random = randomOf(...words, "times");
    const count = Math.floor(duration_s / plan.sample_s);
    if (plan.events) yield { ...senses.read(0), time_s: epoch_s, level_m: null };
    for (let i = 1; i <= count; i++) {
      const time_s = plan.sample_s * (i + (plan.jitter > 0 ? plan.jitter * random.uniform() : 0));
      advance(time_s);
      for (const { time_s: at_s, on } of switched.splice(0)) {
        const known_s = Math.round(at_s * 10) / 10;
        if (rows.keep(known_s)) yield { ...senses.read(at_s), time_s: epoch_s + known_s, level_m: null, pumpOn: on };
      }
      if (plan.events) continue;
      const seen = senses.read(time_s);
      if (!rows.keep(time_s)) continue;
      noteSeen(time_s);
      noteBlind(time_s, seen);
      if (plan.rows.apart_s === undefined) {
        yield { ...seen, time_s: epoch_s + time_s };
        continue;
      }
      yield { ...silentReading, level_m: seen.level_m, time_s: epoch_s + time_s };
      advance(time_s + plan.rows.apart_s);
      yield { ...senses.read(time_s + plan.rows.apart_s), level_m: null, time_s: epoch_s + time_s + plan.rows.apart_s };
    }
  }

  const { changesOnly } = plan.rows;
  return {
    readings: changesOnly === undefined ? readings() : changesOf(readings(), changesOnly.heartbeat_s),
    truth: () => ({
      duration_s,
      cycles: witness.cycles(),
      states: [...witness.states(), ...plan.declared],
      peak_m3s: witness.peak_m3s(),
      totals: plant.totals,
      unseen,
      stored_m3: stored_m3() - atFirst_m3,
      gaps: rows.gaps,
      blind,
    }),
  };
}

function rowsKept({ rows, sample_s }: Plan, random: Random) {
  const gaps: { from_s: number; to_s: number }[] = [];
  const never = !Number.isFinite(rows.gapEvery_s);
  let nextGap_s = never ? Number.POSITIVE_INFINITY : random.exponential(rows.gapEvery_s);
  let silentTo_s = Number.NEGATIVE_INFINITY;
  return {
    gaps,
    keep(time_s: number): boolean {
      if (time_s >= nextGap_s) {
        silentTo_s = time_s + Math.max(30 * sample_s, rows.gap_s * random.between(0.2, 1));
        gaps.push({ from_s: time_s - sample_s, to_s: silentTo_s + sample_s });
        nextGap_s = silentTo_s + random.exponential(rows.gapEvery_s);
      }
      return time_s >= silentTo_s && !(rows.lostShare > 0 && random.chance(rows.lostShare));
    },
  };
}
