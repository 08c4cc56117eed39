// The clock on the wall of the house: the daemon's own never steps, and where it was started before the board had learned
// the time, people sleep by another one.

export interface HouseTime {
  readonly timezone: string;
  /** By how much the wall's clock is, or was, ahead of a time by the daemon's, as far as that matters to anybody. */
  readonly ahead_s: (time_s: number) => number;
}

/** Less nobody notices. */
const shortest_s = 60;

/**
 * @param wallStep_s how far the wall clock has stepped away from the daemon's since the start
 * @param since_s    that start; what was noted before it was noted by the clock of an earlier run
 */
export function houseTime(
  timezone: string,
  wallStep_s: () => number = () => 0,
  since_s = Number.NEGATIVE_INFINITY,
): HouseTime {
  return {
    timezone,
    ahead_s(time_s) {
      const step_s = time_s < since_s ? 0 : wallStep_s();
      return Math.abs(step_s) < shortest_s ? 0 : Math.round(step_s);
    },
  };
}

/** Of a time by the daemon's clock. */
export function onTheWall(time_s: number, { timezone, ahead_s }: HouseTime): Temporal.ZonedDateTime {
  const wall_ms = Math.round((time_s + ahead_s(time_s)) * 1000);
  return Temporal.Instant.fromEpochMilliseconds(wall_ms).toZonedDateTimeISO(timezone);
}

/** The day there, `2026-05-01`. */
export function dayOnTheWall(time_s: number, house: HouseTime): string {
  return onTheWall(time_s, house).toPlainDate().toString();
}
