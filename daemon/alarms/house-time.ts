// The clock on the wall of the house: the daemon's own never steps, and where it was started before the board had learned
// the time, people sleep by another one.

export interface HouseTime {
  readonly timezone: string;
  /** By how much the wall's clock is ahead of the daemon's, as far as that matters to anybody. */
  readonly ahead_s: () => number;
}

/** Less nobody notices. */
const shortest_s = 60;

/** @param wallStep_s how far the wall clock has stepped away from the daemon's since the start */
export function houseTime(timezone: string, wallStep_s: () => number = () => 0): HouseTime {
  return {
    timezone,
    ahead_s() {
      const step_s = wallStep_s();
      return Math.abs(step_s) < shortest_s ? 0 : Math.round(step_s);
    },
  };
}

/** Of a time by the daemon's clock. */
export function onTheWall(time_s: number, { timezone, ahead_s }: HouseTime): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(Math.round((time_s + ahead_s()) * 1000)).toZonedDateTimeISO(timezone);
}
