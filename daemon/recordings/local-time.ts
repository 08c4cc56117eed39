// Local stamps without an offset, resolved in the recording's time zone with daylight saving.
//
// The hour that autumn repeats: of its two instants the one nearer to the row before is taken, the later one when
// both are as near; so time keeps moving forward. The hour that spring leaves out does not exist: such a stamp is
// refused, for it shows that the logger's clock does not follow the zone it is said to follow.

/** Turns wall time into Unix time. */
export interface LocalTime {
  readonly zone: string;
  /**
   * @param wall_ms  the local date and time, as if it were UTC
   * @param before_ms Unix time of the row before; NaN when there is none
   * @returns Unix time in ms; NaN for a time that the zone leaves out
   */
  resolve(wall_ms: number, before_ms: number): number;
}

const day_ms = 86_400_000;

/** @returns undefined when there is no such time zone */
export function localTime(zone: string): LocalTime | undefined {
  if (!isZone(zone)) return undefined;
  // Between two changes of the zone's offset, a day away from either, one offset holds for all stamps.
  let from_ms = 0;
  let until_ms = 0;
  let offset_ms = 0;

  const settle = (wall_ms: number) => {
    const here = Temporal.Instant.fromEpochMilliseconds(wall_ms).toZonedDateTimeISO(zone);
    // At the very instant of a change that one is the last: "previous" is strictly before.
    const justAfter = here.add({ milliseconds: 1 });
    const last = justAfter.getTimeZoneTransition("previous")?.epochMilliseconds ?? Number.NEGATIVE_INFINITY;
    const next = here.getTimeZoneTransition("next")?.epochMilliseconds ?? Number.POSITIVE_INFINITY;
    from_ms = last + 2 * day_ms;
    until_ms = next - 2 * day_ms;
    offset_ms = here.offsetNanoseconds / 1e6;
  };

  return {
    zone,
    resolve(wall_ms, before_ms) {
      if (wall_ms >= from_ms && wall_ms < until_ms) return wall_ms - offset_ms;
      settle(Math.floor(wall_ms));
      if (wall_ms >= from_ms && wall_ms < until_ms) return wall_ms - offset_ms;
      return nearChange(zone, wall_ms, before_ms);
    },
  };
}

function nearChange(zone: string, wall_ms: number, before_ms: number): number {
  const whole_ms = Math.floor(wall_ms);
  const wall = Temporal.Instant.fromEpochMilliseconds(whole_ms).toZonedDateTimeISO("UTC").toPlainDateTime();
  const earlier = wall.toZonedDateTime(zone, { disambiguation: "earlier" });
  if (!earlier.toPlainDateTime().equals(wall)) return Number.NaN;
  const fraction_ms = wall_ms - whole_ms;
  const earlier_ms = earlier.epochMilliseconds + fraction_ms;
  const later_ms = wall.toZonedDateTime(zone, { disambiguation: "later" }).epochMilliseconds + fraction_ms;
  return Math.abs(later_ms - before_ms) <= Math.abs(earlier_ms - before_ms) ? later_ms : earlier_ms;
}

function isZone(zone: string): boolean {
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone);
    return true;
  } catch {
    return false;
  }
}
