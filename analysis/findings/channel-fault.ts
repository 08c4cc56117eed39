// A channel beside the level and the pump's signal says what cannot be: it stands still while the pump goes on and off,
// is out of its range, or is belied by the others. One rule for each, so that each has a finding of its own.

import {
  type ChannelProblem,
  channelProblem,
  isSlow,
  unmovedRuns,
  type WatchedChannel,
} from "../readings/channel-watch.ts";
import type { Rule } from "./rule.ts";

const columns: Readonly<Record<WatchedChannel, string>> = {
  floatOn: "float_on",
  pumpCurrent_a: "pump_current_a",
  pumpPower_w: "pump_power_w",
  mainsOn: "mains_on",
  temperature_c: "temperature_c",
  rain_m: "rain_mm",
};

const names: Readonly<Record<WatchedChannel, string>> = {
  floatOn: "float's contact",
  pumpCurrent_a: "motor's current",
  pumpPower_w: "motor's power",
  mainsOn: "contact that watches the supply",
  temperature_c: "thermometer",
  rain_m: "rain gauge",
};

const advice: Readonly<Record<ChannelProblem, string>> = {
  frozen:
    "does not change although the pump goes on and off. Check its wiring, and that it is on this pump's circuit; what hangs on it is not known until then.",
  "out-of-range": "gives figures that cannot be. Check its cable and connectors, then the sensor itself.",
  contradicted:
    "says that there is no supply, but the pump runs and stops as usual. If no backup feeds the pump, check the contact and its wiring: a real outage would go unseen.",
};

const stuck =
  "has given the very same figure for far longer than it used to. Check its cable and connectors, and what may block it; then the sensor itself.";

export const channelFaults: readonly Rule[] = (Object.keys(columns) as WatchedChannel[]).map((channel) => ({
  kind: "sensor-fault",
  severity: "warning",
  onDelay_s: 60,
  offDelay_s: 1800,
  notWhileCalm: true,
  onlyInTrouble: true,
  holds: ({ channels }) => channelProblem(channels, channel) !== null,
  evidence: ({ channels }) => ({
    channel: columns[channel],
    problem: channelProblem(channels, channel),
    value: channels[channel].value,
    unmoved_runs: unmovedRuns(channels, channel),
  }),
  message: ({ channels }) => {
    const problem = channelProblem(channels, channel) ?? "frozen";
    return `The ${names[channel]} ${problem === "frozen" && isSlow(channel) ? stuck : advice[problem]}`;
  },
}));
