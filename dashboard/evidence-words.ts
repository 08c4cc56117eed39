// What each figure behind a finding is called, and each word among them, in a reader's words.

export const evidenceWord: Readonly<Record<string, string>> = {
  cause: "why",
  channel: "which reading",
  closing_valve_m3: "a sound valve lets back at most",
  drain_back_m3: "runs back after a stop",
  high_float: "high-water float lifted",
  high_level_m: "high water is at",
  highest_level_m: "highest level",
  inflow_factor: "allowance over it",
  inflow_m3s: "comes in",
  last_level_m: "last level read",
  last_run_s: "last run",
  level_m: "water level",
  mains_on: "power present",
  max_starts_per_hour: "starts allowed in an hour",
  min_run_s: "shortest run allowed",
  peak_600_s_m3s: "highest inflow over 10 min",
  problem: "what is wrong",
  pump_idle_s: "pump has rested for",
  pump_rate_before_m3s: "pump moved before",
  pump_rate_m3s: "pump moves",
  pump_rate_now_m3s: "pump moves now",
  pump_running: "pump runs",
  pump_running_by_level: "pump runs, by the level",
  pump_running_s: "pump has run for",
  pump_state_for_s: "pump on or off for",
  rise_in_a_minute_m: "rise in a minute",
  start_level_m: "pump starts at",
  starts_in_an_hour: "starts in an hour",
  stop_level_m: "pump stops at",
};

/** Null in these says that the site file does not set it, or that no such switch is wired: no news to a reader. */
export const leftOutWhenNull: ReadonlySet<string> = new Set([
  "high_float",
  "high_level_m",
  "mains_on",
  "max_starts_per_hour",
  "min_run_s",
  "start_level_m",
  "stop_level_m",
]);

export const valueWord: Readonly<Record<string, string>> = {
  "drain-back": "water runs back after each stop",
  "dropping-out": "it keeps dropping out",
  "float-chatter": "the float flickers",
  frozen: "it does not move",
  "high-inflow": "much water comes in",
  implausible: "it jumps about",
  level: "water level",
  "out-of-range": "outside what the basin can hold",
  pump_on: "pump signal",
  "small-active-volume": "little water between start and stop",
};
