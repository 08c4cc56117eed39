// Which findings were made of what was so, how late, and which of nothing. What must be found and what may be found
// stands in the truth; everything else is a false alarm.

import type { Evidence, FindingKind } from "../../analysis/findings/finding.ts";
import type { Plan } from "./plan.ts";
import type { Truth } from "./play.ts";
import type { Scenario } from "./scenario.ts";
import type { TrueState } from "./witness.ts";

export interface Alarm {
  readonly kind: FindingKind;
  /** When it was told, by the reading that made it so; and since when, by its own account. */
  readonly toldAt_s: number;
  readonly from_s: number;
  to_s: number | null;
  evidence: Evidence;
}

export interface TrueEvent {
  readonly kind: FindingKind;
  readonly from_s: number;
  readonly to_s: number;
  /** Null: missed. */
  readonly delay_s: number | null;
  /** Runs that ended between the beginning and the alarm. */
  readonly delayCycles: number | null;
  /** Alarms beyond the first. */
  readonly repeats: number;
  /** Whether the cause that was given last is the true one; null where none is asked for. */
  readonly causeRight: boolean | null;
}

export interface Judged {
  readonly events: readonly TrueEvent[];
  readonly falseAlarms: readonly Alarm[];
}

/** How long after its state a finding may still begin, for it looks back over readings, cycles or hours. */
const tail_s: Record<FindingKind, number> = {
  "high-water": 120,
  "inflow-exceeds-pump": 180,
  undersized: Number.POSITIVE_INFINITY,
  "short-cycling": 4500,
  "float-stuck-off": 180,
  "float-stuck-on": 300,
  "check-valve-leak": 43_200,
  "discharge-blocked": 43_200,
  "pump-worn": Number.POSITIVE_INFINITY,
  "power-lost": 120,
  "sensor-fault": 7200,
};
const lead_s = 120;
/** A state that comes and goes within this time is one event. */
const joins_s = 7200;

export function judgeFindings(
  plan: Plan,
  truth: Truth,
  alarms: readonly Alarm[],
  wall: (time_s: number) => number,
  causes: Scenario["causes"] = {},
): Judged {
  const states = truth.states.map((state) => ({ ...state, from_s: wall(state.from_s), to_s: wall(state.to_s) }));
  const spoken = new Map<FindingKind, Alarm[]>();
  for (const alarm of alarms) spoken.set(alarm.kind, [...(spoken.get(alarm.kind) ?? []), alarm]);
  const stops_s = truth.cycles.map(({ stoppedAt_s }) => wall(stoppedAt_s));
  const events = joined(states.filter(({ certainty }) => certainty === "clear")).map((state) =>
    eventOf(state, spoken.get(state.kind) ?? [], stops_s, causes[state.kind]),
  );
  const falseAlarms = alarms.filter(
    ({ kind, toldAt_s, from_s }) =>
      !plan.allowed.includes(kind) &&
      !states.some(
        (state) => state.kind === kind && toldAt_s >= state.from_s - lead_s && from_s <= state.to_s + tail_s[kind],
      ),
  );
  return { events, falseAlarms };
}

function eventOf(
  { kind, from_s, to_s }: TrueState,
  alarms: readonly Alarm[],
  stops_s: readonly number[],
  causes: readonly string[] | undefined,
): TrueEvent {
  const within = alarms.filter(
    (alarm) => alarm.toldAt_s <= to_s + tail_s[kind] && (alarm.to_s === null || alarm.to_s >= from_s - lead_s),
  );
  const [first] = within;
  return {
    kind,
    from_s,
    to_s,
    delay_s: first === undefined ? null : Math.max(0, first.toldAt_s - from_s),
    delayCycles:
      first === undefined ? null : stops_s.filter((stop_s) => stop_s > from_s && stop_s <= first.toldAt_s).length,
    repeats: Math.max(0, within.length - 1),
    causeRight: causes === undefined || first === undefined ? null : causes.includes(String(first.evidence.cause)),
  };
}

function joined(states: readonly TrueState[]): TrueState[] {
  const all: TrueState[] = [];
  for (const state of [...states].sort((a, b) => a.kind.localeCompare(b.kind) || a.from_s - b.from_s)) {
    const last = all.at(-1);
    if (last?.kind === state.kind && state.from_s - last.to_s < joins_s) {
      all[all.length - 1] = { ...last, to_s: Math.max(last.to_s, state.to_s) };
    } else all.push(state);
  }
  return all;
}
