// Every alarm there is: cause, consequence, what to do, how long there is, priority and delays. The defaults suit a house;
// the site file may change them. One entry is one alarm: page, messages, documents and tests read this list.
//
// Priority follows from what happens if nobody acts and from how soon (ANSI/ISA-18.2, rationalisation): high when the
// floor can be wet within the hour, medium within the day or when what warns of it is blind, low for what can wait for
// a free afternoon. Delays are common practice, no source, unless said.

import type { Finding } from "../findings/finding.ts";
import type { AlarmDefinition, AlarmInput } from "./alarm.ts";
import { byFinding, ceasedFinding, earliest, sinceFinding } from "./by-finding.ts";
import { highMarkOff_m, highMarkOffSince_s, readsOff } from "./high-mark-off.ts";
import { wantedInVain_s } from "./wanted-in-vain.ts";
import { isWorse, standingFacts, waterFacts } from "./water-facts.ts";

const minute_s = 60;
const hour_s = 3600;
const day_s = 86_400;

/** The finding names the pump that does not start: the other one has to do its work. */
const isOfOneOfTwo = ({ evidence }: Finding) => typeof evidence.pump === "number";
const isOfAll = (finding: Finding) => !isOfOneOfTwo(finding);
/** A thermometer or a rain gauge at fault stands among the findings, and wakes nobody. */
const besideTheWater: ReadonlySet<unknown> = new Set(["temperature_c", "rain_mm"]);
const whatReadsOff = ({ situation: { openFindings } }: AlarmInput) => {
  const { channel = null, problem = null } = openFindings.find(readsOff)?.evidence ?? {};
  return { channel, problem };
};
const isBlind = (finding: Finding) => !readsOff(finding) && !besideTheWater.has(finding.evidence.channel);

export const alarmTable: readonly AlarmDefinition[] = [
  {
    name: "high-water",
    title: "HIGH WATER",
    firstThing: "Check supply, pump and outlet from a dry place.",
    priority: "high",
    rationale: "The floor can be wet within minutes, and only a person can prevent it.",
    cause:
      "More comes in than is pumped out: no supply, no pump, a blocked discharge, or a storm over the pump's means.",
    consequence: "Water on the floor.",
    whatToDo: "Check supply, pump and outlet from a dry place. Keep out of water near wiring.",
    respondWithin_s: 15 * minute_s,
    onDelay_s: minute_s,
    offDelay_s: 5 * minute_s,
    latching: false,
    saidBy: [],
    ...byFinding("high-water"),
    facts: waterFacts,
    worse: isWorse,
  },
  {
    name: "pump-does-not-start",
    title: "PUMP DOES NOT START",
    firstThing: "Check plug, breaker, float from a dry place.",
    priority: "high",
    rationale: "Nothing takes the water away; high water follows within minutes to hours.",
    cause: "A float that hangs, a plug that is out, a breaker that has tripped, a motor that has failed.",
    consequence: "High water, then water on the floor.",
    whatToDo: "Check plug, breaker and float from a dry place. Unplug before you reach in, and plug it in again.",
    respondWithin_s: 30 * minute_s,
    onDelay_s: minute_s,
    offDelay_s: minute_s,
    latching: false,
    saidBy: ["supply-lost"],
    since: (input, before_s) =>
      earliest(sinceFinding("float-stuck-off", isOfAll)(input), wantedInVain_s(input, before_s)),
    ceased: (input) =>
      wantedInVain_s(input, input.time_s) === null ? ceasedFinding("float-stuck-off", isOfAll)(input) : null,
    facts: waterFacts,
  },
  {
    name: "pump-does-not-keep-up",
    title: "PUMP DOES NOT KEEP UP",
    firstThing: "Check the outlet; have a second pump at hand.",
    priority: "high",
    rationale: "The water rises although the pump runs; high water follows within minutes to hours.",
    cause: "A storm over the pump's means, or a pump that moves less than it should.",
    consequence: "High water, then water on the floor.",
    whatToDo: "Check that water leaves the outlet. Have a second pump at hand; clear the floor.",
    respondWithin_s: 30 * minute_s,
    onDelay_s: 2 * minute_s,
    offDelay_s: 5 * minute_s,
    latching: false,
    saidBy: ["high-water"],
    ...byFinding("inflow-exceeds-pump"),
    facts: waterFacts,
  },
  {
    name: "supply-lost",
    title: "SUPPLY LOST",
    overTitle: "Supply is back",
    firstThing: "Check the breaker or start the backup; generators outdoors only.",
    priority: "medium",
    rationale:
      "The basin fills in hours in dry weather; when it fills sooner, what is of high priority says so: a pump that does not start, high water.",
    cause: "A power cut, a breaker or an earth-fault switch.",
    consequence: "The pump cannot run until the supply is back.",
    whatToDo: "Check the breaker, or start the backup. Generators outdoors only: exhaust kills.",
    respondWithin_s: 2 * hour_s,
    onDelay_s: 2 * minute_s,
    offDelay_s: minute_s,
    latching: false,
    saidBy: [],
    ...byFinding("power-lost"),
    facts: waterFacts,
  },
  {
    name: "one-pump-out",
    title: "ONE OF TWO PUMPS OUT",
    firstThing: "Check its plug, breaker, float from a dry place.",
    priority: "medium",
    rationale: "The other pump has to do its work; nothing is left should that fail too, or more water come.",
    cause: "A float that hangs, a plug that is out, a breaker that has tripped, a motor that has failed.",
    consequence: "One pump alone in the next storm.",
    whatToDo:
      "Check its plug, breaker and float from a dry place. Unplug both pumps before you reach in, and plug both in again. Then lift its float once with a dry stick, from a dry place: it should start.",
    respondWithin_s: day_s,
    onDelay_s: 5 * minute_s,
    offDelay_s: 10 * minute_s,
    latching: false,
    saidBy: ["supply-lost", "pump-does-not-start"],
    since: sinceFinding("float-stuck-off", isOfOneOfTwo),
    ceased: ceasedFinding("float-stuck-off", isOfOneOfTwo),
    facts: ({ situation: { openFindings } }) => ({
      idle_pump:
        openFindings.find((each) => each.kind === "float-stuck-off" && isOfOneOfTwo(each))?.evidence.pump ?? null,
    }),
  },
  {
    name: "pump-does-not-stop",
    title: "PUMP DOES NOT STOP",
    firstThing: "Unplug it from a dry place, free its float.",
    priority: "medium",
    rationale: "A pump that runs dry is ruined within hours, and the next storm finds none.",
    cause: "A float that hangs up, a contact that sticks, or water that keeps coming in.",
    consequence: "A motor that burns out.",
    whatToDo:
      "Unplug the pump from a dry place, free its float and plug it in again: while it is unplugged nothing is pumped.",
    respondWithin_s: 2 * hour_s,
    onDelay_s: 2 * minute_s,
    offDelay_s: 2 * minute_s,
    latching: false,
    saidBy: ["pump-does-not-keep-up"],
    ...byFinding("float-stuck-on"),
    facts: standingFacts,
  },
  {
    name: "sensor-lost",
    title: "SENSOR LOST",
    overTitle: "Sensor is back",
    firstThing: "Look at the basin, then at the sensor.",
    priority: "medium",
    rationale: "Nobody is warned of what the sensor does not see.",
    cause: "A sensor, a cable, a broker or a source that says nothing, or nothing that can be true.",
    consequence: "High water may come unseen.",
    whatToDo:
      "Look at the basin, then at the sensor and its cable. Unplug the pump before you reach in, and plug it in again.",
    respondWithin_s: day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: 10 * minute_s,
    latching: false,
    saidBy: [],
    since(input) {
      const since_s = earliest(input.care.silentSince_s, sinceFinding("sensor-fault", isBlind)(input));
      return since_s === null && input.care.silentSince_s === undefined ? undefined : since_s;
    },
    ceased: (input) => (input.care.silentSince_s === null ? ceasedFinding("sensor-fault", isBlind)(input) : null),
    facts: ({ care: { silentSince_s = null }, time_s, situation: { openFindings } }) => {
      const { channel = null, problem = null } =
        openFindings.find((each) => each.kind === "sensor-fault" && isBlind(each))?.evidence ?? {};
      return {
        silent_since_s: silentSince_s,
        ...(silentSince_s === null ? { channel, problem } : { as_of_s: silentSince_s, unread_until_s: time_s }),
      };
    },
  },
  {
    name: "high-mark-off",
    title: "High-water mark reads off",
    firstThing: "Measure the water from a dry place.",
    priority: "medium",
    rationale:
      "Nothing but the level tells of high water, and it is off by half the way or more: what warns is half blind.",
    cause: "A zero or a span that drifts, a sensor that was moved or set anew, a float that slips; and no high float.",
    consequence: "High water that is told too late to act, or at each start until nobody listens.",
    whatToDo:
      "Measure the water with a rule from a dry place, and set the sensor by it; unplug the pump before you reach in, and plug it in again. A high float would warn without it. If you just set it right, all is well.",
    respondWithin_s: day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: hour_s,
    latching: false,
    saidBy: ["sensor-lost"],
    since: highMarkOffSince_s,
    ceased: ceasedFinding("sensor-fault", readsOff),
    facts: (input) => ({ ...whatReadsOff(input), high_mark_off_m: highMarkOff_m(input) }),
  },
  {
    name: "discharge-obstructed",
    title: "Discharge obstructed",
    firstThing: "Check the outlet outside and the valves.",
    priority: "medium",
    rationale: "The pump moves less; the next storm may be more than it can hold.",
    cause: "A blocked outlet, ice, a valve that is not fully open, air in the pump.",
    consequence: "High water in the next storm.",
    whatToDo:
      "Check the outlet outside, its screen and the valves of the pipe. Unplug the pump before you open anything, and plug it in again.",
    respondWithin_s: day_s,
    onDelay_s: 5 * minute_s,
    offDelay_s: 10 * minute_s,
    latching: false,
    saidBy: ["pump-does-not-keep-up", "high-water"],
    ...byFinding("discharge-blocked"),
    facts: standingFacts,
  },
  {
    name: "watch-interrupted",
    title: "Watch was interrupted",
    firstThing: "Look at the basin.",
    priority: "low",
    rationale: "It is over; but what happened meanwhile is not known.",
    cause: "The board had no power, or was restarted.",
    consequence: "Nothing was watched, and nobody would have been told.",
    whatToDo: "Look at the basin; consider a battery for the board and the router.",
    respondWithin_s: 7 * day_s,
    onDelay_s: 0,
    offDelay_s: 0,
    latching: false,
    saidBy: [],
    since: ({ care }) => care.interrupted?.to_s ?? null,
    facts: ({ care }) => ({
      unwatched_from_s: care.interrupted?.from_s ?? null,
      unwatched_to_s: care.interrupted?.to_s ?? null,
    }),
  },
  {
    name: "much-for-dry-weather",
    title: "Much water for dry weather",
    firstThing: "Look for a leak: read the water meter.",
    priority: "low",
    rationale: "Nothing is in danger yet; a pipe that leaks costs more each day.",
    cause: "A water pipe, a toilet or a hose that runs; ground water; rain that was not measured.",
    consequence: "A pump that wears, a bill, soil that is washed away.",
    whatToDo: "Read the water meter with every tap closed; look for a leak.",
    respondWithin_s: 2 * day_s,
    onDelay_s: hour_s,
    offDelay_s: 6 * hour_s,
    latching: false,
    saidBy: [],
    since: ({ care }) => care.muchWhileDry?.since_s ?? null,
    facts: ({ care }) => ({
      inflow_day_m3: care.muchWhileDry?.inflowDay_m3 ?? null,
      usual_day_m3: care.muchWhileDry?.usualDay_m3 ?? null,
    }),
  },
  {
    name: "nothing-pumped",
    title: "Nothing pumped for long",
    firstThing: "Test it: pour in water until the pump starts.",
    priority: "low",
    rationale: "In a dry time all may be well; a pump that has seized is found out now or in the next storm.",
    cause: "A dry time, or a pump, a float or a supply that has failed unseen.",
    consequence: "A pump that does not run when it is wanted.",
    whatToDo: "Test it: pour a bucket of water in until the pump starts.",
    respondWithin_s: 7 * day_s,
    onDelay_s: 0,
    offDelay_s: 0,
    latching: false,
    saidBy: ["supply-lost", "sensor-lost", "pump-does-not-start"],
    since: ({ care: { lastRun_s, unusualPause_s }, time_s }) => {
      if (lastRun_s === null || unusualPause_s === null) return null;
      const unusual_s = lastRun_s + unusualPause_s;
      return time_s >= unusual_s ? unusual_s : null;
    },
    facts: ({ care, time_s }) => ({ last_run_s: care.lastRun_s, as_of_s: time_s }),
  },
  {
    name: "pump-weaker",
    title: "Pump moves less than it did",
    firstThing: "Have it serviced.",
    priority: "low",
    rationale: "It wears over weeks; there is time to choose another pump.",
    cause: "A worn impeller, a screen that is clogging.",
    consequence: "Less margin in each storm.",
    whatToDo: "Have it serviced; read the sizing page before you buy another.",
    respondWithin_s: 14 * day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: hour_s,
    latching: false,
    saidBy: ["discharge-obstructed"],
    ...byFinding("pump-worn"),
    facts: () => ({}),
  },
  {
    name: "sensor-reads-off",
    title: "Level sensor reads off",
    firstThing: "Measure the water from a dry place.",
    priority: "low",
    rationale:
      "The pump's float works as before, and high water is told nearly in time, or by its own float; else 'High-water mark reads off' says so.",
    cause: "A zero or a span that drifts, a sensor that was moved or set anew, a float that slips.",
    consequence: "High water that is told too late, and figures that are off.",
    whatToDo:
      "Measure the water with a rule from a dry place, and set the sensor by it; unplug the pump before you reach in, and plug it in again. If you just did, all is well.",
    respondWithin_s: 7 * day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: hour_s,
    latching: false,
    saidBy: ["sensor-lost", "high-mark-off"],
    since: sinceFinding("sensor-fault", readsOff),
    ceased: ceasedFinding("sensor-fault", readsOff),
    facts: whatReadsOff,
  },
  {
    name: "water-runs-back",
    title: "Water runs back",
    firstThing: "Have the check valve seen to.",
    priority: "low",
    rationale: "The pump moves the same water twice; it wears sooner.",
    cause: "A check valve that leaks, or none.",
    consequence: "More starts, more wear, a bill.",
    whatToDo: "Have the check valve cleaned or replaced, with the pump unplugged, and plug it in again.",
    respondWithin_s: 14 * day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: hour_s,
    latching: false,
    saidBy: [],
    ...byFinding("check-valve-leak"),
    facts: () => ({}),
  },
  {
    name: "starts-too-often",
    title: "Pump starts too often",
    firstThing: "See the page for its cause.",
    priority: "low",
    rationale: "Each start wears the motor; it fails in months, not today.",
    cause: "Floats too close together, much inflow, water that runs back, a float in waves.",
    consequence: "A motor that fails early.",
    whatToDo:
      "Read what the page says of its cause; set the floats further apart, with the pump unplugged, and plug it in again.",
    respondWithin_s: 7 * day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: 2 * hour_s,
    latching: false,
    saidBy: ["pump-does-not-keep-up"],
    ...byFinding("short-cycling"),
    facts: ({ situation }) => ({ starts_in_last_hour: situation.startsInLastHour }),
  },
  {
    name: "pump-too-small",
    title: "Little margin in the pump",
    firstThing: "See the sizing page.",
    priority: "low",
    rationale: "It held this time; a larger pump is bought in dry weather.",
    cause: "A pump whose margin over the inflow seen is small.",
    consequence: "High water in a greater storm.",
    whatToDo: "Read the sizing page; plan for a larger pump or a second one.",
    respondWithin_s: 14 * day_s,
    onDelay_s: 10 * minute_s,
    offDelay_s: 2 * hour_s,
    latching: false,
    saidBy: ["pump-does-not-keep-up", "high-water"],
    ...byFinding("undersized"),
    facts: () => ({}),
  },
  {
    name: "board-battery-low",
    title: "BATTERY OF THE MONITOR LOW",
    firstThing: "Restore its supply or change the battery.",
    priority: "high",
    rationale: "When it is empty nobody is told of anything, not even of what quiet hours have kept back.",
    cause: "A long power cut, or a battery that is old.",
    consequence: "The watch ends.",
    whatToDo: "Bring the board back to its supply, or change its battery.",
    respondWithin_s: hour_s,
    onDelay_s: minute_s,
    offDelay_s: 5 * minute_s,
    latching: false,
    saidBy: [],
    since: ({ care: { boardBattery } }) =>
      boardBattery === null || !boardBattery.discharging ? null : boardBattery.since_s,
    facts: ({ care, situation }) => ({ charge_share: care.boardBattery?.share ?? null, mains_on: situation.mainsOn }),
  },
  {
    name: "service-due",
    title: "Service due",
    firstThing: "The page leads through it.",
    priority: "low",
    rationale: "Every six months is common practice, no source; a week sooner or later does no harm.",
    cause: "The time since the last service that was entered.",
    consequence: "Faults that a service would have found.",
    whatToDo: "Do the service; the page leads through it.",
    respondWithin_s: 30 * day_s,
    onDelay_s: 0,
    offDelay_s: 0,
    latching: false,
    saidBy: [],
    since: ({ care: { serviceDue_s }, time_s }) =>
      serviceDue_s !== null && time_s >= serviceDue_s ? serviceDue_s : null,
    facts: ({ care }) => ({ service_due_s: care.serviceDue_s }),
  },
];
