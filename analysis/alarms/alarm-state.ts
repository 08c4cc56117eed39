// The states of an alarm and what moves it from one to another, as alarm management has them (ANSI/ISA-18.2, IEC 62682;
// the table of transitions as open course documents give it, the latched pair from memory).
// Pure: delays and who is told are for others.

/** Shelved: by a person, for a time. Suppressed by design: another alarm says it already. */
export type AlarmState =
  | "normal"
  | "unacknowledged"
  | "acknowledged"
  | "returned-to-normal-unacknowledged"
  | "latched-unacknowledged"
  | "latched-acknowledged"
  | "shelved"
  | "suppressed-by-design"
  | "out-of-service";

/** The state below what may cover it. */
export type ProcessState = Exclude<AlarmState, Withheld>;
export type Withheld = "shelved" | "suppressed-by-design" | "out-of-service";

/** `activate` and `clear` come after their delays. */
export type AlarmEvent = "activate" | "clear" | "acknowledge" | "reset";

type Row = Partial<Record<AlarmEvent, ProcessState>>;

/** What is not in the table changes nothing: an acknowledgement of what is acknowledged, say. */
const plain: Readonly<Record<ProcessState, Row>> = {
  normal: { activate: "unacknowledged" },
  unacknowledged: { acknowledge: "acknowledged", clear: "returned-to-normal-unacknowledged" },
  acknowledged: { clear: "normal" },
  "returned-to-normal-unacknowledged": { acknowledge: "normal", activate: "unacknowledged" },
  "latched-unacknowledged": { acknowledge: "latched-acknowledged", activate: "unacknowledged" },
  "latched-acknowledged": { reset: "normal", activate: "unacknowledged" },
};

/** A latching alarm waits, once it is over, for a person who has looked. */
const latching: Readonly<Record<ProcessState, Row>> = {
  ...plain,
  unacknowledged: { acknowledge: "acknowledged", clear: "latched-unacknowledged" },
  acknowledged: { clear: "latched-acknowledged" },
};

export function nextAlarmState(state: ProcessState, event: AlarmEvent, isLatching: boolean): ProcessState {
  return (isLatching ? latching : plain)[state][event] ?? state;
}

export interface Withholding {
  /** Until when a person has shelved it; null: not. */
  readonly shelvedUntil_s: number | null;
  readonly suppressed: boolean;
  readonly outOfService: boolean;
}

/** What withholds an alarm: out of service before suppressed by design before shelved; null: nothing does. */
export function withheldAs({ shelvedUntil_s, suppressed, outOfService }: Withholding): Withheld | null {
  if (outOfService) return "out-of-service";
  if (suppressed) return "suppressed-by-design";
  return shelvedUntil_s === null ? null : "shelved";
}

/**
 * Where an alarm stands when nothing withholds it any more: what is true then is announced anew, and what latched meanwhile
 * or before waits for a person who looks now.
 */
export function stateOnReturn(state: ProcessState): ProcessState {
  if (isActive(state)) return "unacknowledged";
  return isLatched(state) ? "latched-unacknowledged" : "normal";
}

/** Whether the condition holds, by the state. */
export function isActive(state: ProcessState): boolean {
  return state === "unacknowledged" || state === "acknowledged";
}

/** Over, and kept for a person to look at. */
function isLatched(state: ProcessState): boolean {
  return state === "latched-unacknowledged" || state === "latched-acknowledged";
}
