// The level sensor says what no water level can: frozen, out of range, dropping out, out of the water, or jumping about.

import type { PumpSignal } from "../cycles/by-signal/run-signal.ts";
import type { LevelProblem } from "../readings/level-problem.ts";
import type { Rule, View } from "./rule.ts";

const advice: Record<LevelProblem, string> = {
  frozen:
    "The level reading has stopped moving. Check the sensor's tube or face for dirt and its cable, then its power; until it moves again only the floats are watched.",
  "out-of-range":
    "The level reading is outside what the basin can hold. Check the sensor's wiring and its zero; until then only the floats are watched.",
  "dropping-out":
    "The level reading keeps failing to arrive. Check the sensor's cable, connectors and radio link; meanwhile some figures are missing.",
  "out-of-water":
    "The level reading fell at once, with the pump at rest, to far under where the pump leaves the water: the sensor hangs out of it, or its signal is wrong. If it was lifted out for service, hang it back as it was and compare the reading with a rule; until then only the floats are watched.",
  implausible:
    "The level reading jumps about more than water can. Look for foam, cords or pipes in the sensor's way, and for loose connections.",
};

export const sensorFault: Rule = {
  kind: "sensor-fault",
  severity: "warning",
  onDelay_s: 10,
  // A bad connection comes and goes: one finding, not a hundred.
  offDelay_s: 3600,
  notWhileCalm: true,
  onlyInTrouble: true,
  holds: ({ levelProblem }) => levelProblem !== null,
  evidence: ({ levelProblem, lastLevel_m }) => ({ channel: "level", problem: levelProblem, last_level_m: lastLevel_m }),
  // A sensor that fails to arrive now and then may freeze meanwhile: then nothing but the floats is watched.
  worsen: (evidence, { levelProblem, lastLevel_m }) =>
    evidence.problem === "dropping-out" && levelProblem === "frozen"
      ? { ...evidence, problem: levelProblem, last_level_m: lastLevel_m }
      : null,
  message: ({ levelProblem }) => advice[levelProblem ?? "implausible"],
};

const columns: Readonly<Record<PumpSignal, string>> = {
  pumpOn: "pump_on",
  pumpCurrent_a: "pump_current_a",
  pumpPower_w: "pump_power_w",
  floatOn: "float_on",
};

/** The pump's signal does not follow the pump: the level goes up and down without it. */
export const pumpSignalFault: Rule = signalFault(
  "The pump's signal",
  ({ pumpSignalDead }) => pumpSignalDead,
  ({ pumpSignal }) => columns[pumpSignal ?? "pumpOn"],
);

/** The same of the second of two pumps. */
export const secondSignalFault: Rule = signalFault(
  "The second pump's signal",
  ({ pumps }) => pumps?.secondDead === true,
  ({ pumps }) => (pumps?.secondSignal === "float2On" ? "float2_on" : "pump2_on"),
);

function signalFault(whose: string, holds: (view: View) => boolean, channel: (view: View) => string): Rule {
  return {
    kind: "sensor-fault",
    severity: "warning",
    onDelay_s: 0,
    offDelay_s: 0,
    notWhileCalm: true,
    onlyInTrouble: true,
    holds,
    evidence: (view) => ({
      channel: channel(view),
      problem: "frozen",
      pump_running_by_level: view.pumpRunning,
      last_level_m: view.lastLevel_m,
    }),
    message: () =>
      `${whose} does not change although the level shows the pump at work and at rest. Check the contact or current switch and its wiring, and that water leaves the discharge; until it follows again, runs are read off the level.`,
  };
}
