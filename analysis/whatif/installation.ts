// An installation as a replay takes it: a vessel, floats, pumps, what feeds them, and what they move at each level.
// How a site becomes one is build-installation.ts.

import type { BasinShape } from "../site.ts";

/** What a running pump is fed by. */
export type RunsOn = "mains" | "battery";

export interface ReplayPump {
  readonly name: string | null;
  /** Its float closes and opens. */
  readonly startLevel_m: number;
  readonly stopLevel_m: number;
  /** `mains`: stands still in a power cut; `battery`: has its own, whatever the mains do; `either`: the mains, else the battery. */
  readonly supply: "mains" | "battery" | "either";
  /** Drawn from the mains while it runs; null if unknown. */
  readonly power_w: number | null;
}

/**
 * What a battery can do for a pump, reckoned elsewhere from its capacity, voltage and temperature and the pump's draw: a
 * replay only counts seconds.
 */
export interface EnergySource {
  /** How long it runs the pump, full at the beginning. */
  readonly runTime_s: number;
  /** Seconds of running that a second of mains gives back; 0: it is not charged. */
  readonly regained_ss: number;
  /** Seconds of running that a second costs in which the mains are out and the pump rests: what an inverter draws. */
  readonly idle_ss: number;
  /** Drawn from it while the pump runs; null if unknown. */
  readonly power_w: number | null;
}

export interface ReplayInstallation {
  readonly basin: BasinShape;
  /** High water; null: time above it is not counted. */
  readonly highLevel_m: number | null;
  /** Water runs over; null: it rises without end. */
  readonly overflowLevel_m: number | null;
  /** The one on duty first. */
  readonly pumps: readonly [ReplayPump] | readonly [ReplayPump, ReplayPump];
  /** Two pumps that are alike take the duty in turns. */
  readonly takesTurns: boolean;
  /**
   * What the pumps move together, up to speed. It must not jump from level to level.
   *
   * @param runs what feeds each pump; null: it rests
   */
  flow_m3s(runs: readonly (RunsOn | null)[], level_m: number): number;
  readonly battery: EnergySource | null;
  /** Runs back through the check valve after each stop, evenly over the time. */
  readonly returned: { readonly volume_m3: number; readonly duration_s: number };
  /** A start moves as much less as if nothing moved for so long. */
  readonly spinUp_s: number;
  /**
   * The ground's water stands at `nothing_m`: what comes in falls in proportion as the basin fills, from the inflow as
   * recorded with the water at `recorded_m`. Null: it comes in whatever the level.
   */
  readonly groundHead: { readonly nothing_m: number; readonly recorded_m: number } | null;
}

/**
 * @throws {RangeError} naming the first thing that no replay can work with
 */
export function checkInstallation(installation: ReplayInstallation): void {
  const { pumps, overflowLevel_m, highLevel_m, groundHead, battery, returned, spinUp_s } = installation;
  for (const [i, { startLevel_m, stopLevel_m, supply }] of pumps.entries()) {
    const called = `pump ${i + 1}`;
    if (!(stopLevel_m >= 0 && stopLevel_m < startLevel_m)) {
      fail(`${called} stops at ${stopLevel_m} m and starts at ${startLevel_m} m; expected 0 ≤ stop < start`);
    }
    if (overflowLevel_m !== null && !(startLevel_m < overflowLevel_m)) {
      fail(`${called} starts at ${startLevel_m} m; expected less than the overflow level, ${overflowLevel_m} m`);
    }
    if (supply !== "mains" && battery === null) fail(`${called} runs from a battery; expected one, found none`);
  }
  if (pumps.filter(({ supply }) => supply !== "mains").length > 1) {
    fail("both pumps run from the battery; expected one of them");
  }
  if (highLevel_m !== null && !(highLevel_m > 0)) fail(`high water is at ${highLevel_m} m; expected above 0`);
  if (!(returned.volume_m3 >= 0 && returned.duration_s > 0)) {
    fail(`${returned.volume_m3} m³ run back in ${returned.duration_s} s; expected 0 or more, in a time above 0`);
  }
  if (!(spinUp_s >= 0)) fail(`spinUp_s is ${spinUp_s}; expected 0 or more`);
  if (battery !== null && !(battery.runTime_s >= 0 && battery.regained_ss >= 0 && battery.idle_ss >= 0)) {
    const { runTime_s, regained_ss, idle_ss } = battery;
    fail(`the battery lasts ${runTime_s} s, regains ${regained_ss} s/s, loses ${idle_ss} s/s; expected 0 or more`);
  }
  if (groundHead !== null && !(groundHead.nothing_m > groundHead.recorded_m)) {
    fail(`ground water stands at ${groundHead.nothing_m} m; expected above ${groundHead.recorded_m} m, as recorded`);
  }
}

function fail(what: string): never {
  throw new RangeError(`replay: ${what}`);
}
