// The courses in which water comes back slowly through a check valve, and those that are tried of them.

/** Courses of returning water: a leak under a sinking column, or one of steady rate, until the pipe is empty. */
export type SlowCourse = "fading" | "steady" | "draining";

/** A course, and its time constant or how long it takes until all is back. */
export interface CourseInTime {
  readonly course: SlowCourse;
  readonly time_s: number;
}

/**
 * No check valve is taken to leak its pipe empty more slowly; what bends a rest for longer is the inflow itself. A column
 * drains through a gap in 2·V/(A·√(2·g·h)) (Torricelli): 7 L under 3 m through a square millimetre in half an hour.
 */
export const longest_s = { fading: 400, steady: 300, draining: 1800 } as const;
/** Inflow itself comes and goes within longer than this, and may keep step with some cycles. Judgement, no source. */
export const slowly_s = 1000;
/**
 * A leak is over well before the rest is: a bend that takes as long as the rest itself is inflow that slows as the
 * basin fills. Within one rest the two are one and the same curve; common practice, no source.
 */
export const withinRest = { fading: 0.6, steady: 0.85, draining: 0.95 } as const;
/**
 * Time constants and lengths that are tried: a fifth apart for leaks, and beyond those for inflow that slows; three tenths
 * apart for slow leaks.
 */
export const candidates: readonly CourseInTime[] = [
  ...[...geometric(8, longest_s.fading, 1.2), ...geometric(1.5 * longest_s.fading, 10_000, 1.5)].map(
    (time_s) => ({ course: "fading", time_s }) as const,
  ),
  ...geometric(15, longest_s.steady, 1.2).map((time_s) => ({ course: "steady", time_s }) as const),
  ...[...geometric(15, 650, 1.2), ...geometric(750, longest_s.draining, 1.3)].map(
    (time_s) => ({ course: "draining", time_s }) as const,
  ),
];

function geometric(from: number, to: number, ratio: number): number[] {
  return Array.from({ length: 1 + Math.floor(Math.log(to / from) / Math.log(ratio)) }, (_, i) => from * ratio ** i);
}

/** Share of the returning water that is still to come, `t` seconds after the stop. */
export function slowlyOut({ course, time_s }: CourseInTime): (t: number) => number {
  if (course === "fading") return (t) => Math.exp(-t / time_s);
  if (course === "steady") return (t) => Math.max(0, 1 - t / time_s);
  // Flow through an opening goes with the root of the column above it, which therefore sinks as a square.
  return (t) => Math.max(0, 1 - t / time_s) ** 2;
}

/** Of a litre that comes back: litre-seconds that are still to be out from `t` seconds after the stop on. */
export function outFrom_s({ course, time_s }: CourseInTime): (t: number) => number {
  if (course === "fading") return (t) => time_s * Math.exp(-t / time_s);
  const power = course === "steady" ? 2 : 3;
  return (t) => (time_s / power) * Math.max(0, 1 - t / time_s) ** power;
}
