// A motor comes up to speed in a moment and coasts to a stop in less.

export interface Motor {
  /** Returns whether that is a change. */
  turn(on: boolean, time_s: number): boolean;
  isOn(): boolean;
  /** Share of full speed. */
  speedAt(time_s: number): number;
  changesSpeedAt(time_s: number): boolean;
  /** It runs at full speed, or stands still. */
  isSteadyAt(time_s: number): boolean;
}

const spinDown_s = 0.12;
/** For so long after a stop the wheel still turns. */
export const coasts_s = 8 * spinDown_s;

export function motorOf(spinUp_s: number): Motor {
  let on = false;
  let startedAt_s = Number.NEGATIVE_INFINITY;
  let stoppedAt_s = Number.NEGATIVE_INFINITY;

  function speedAt(time_s: number): number {
    if (on) return Math.tanh((2 * (time_s - startedAt_s)) / spinUp_s);
    const since_s = time_s - stoppedAt_s;
    return since_s < coasts_s ? Math.exp(-since_s / spinDown_s) : 0;
  }

  return {
    turn(next, time_s) {
      if (next === on) return false;
      on = next;
      if (on) startedAt_s = time_s;
      else stoppedAt_s = time_s;
      return true;
    },
    isOn: () => on,
    speedAt,
    changesSpeedAt: (time_s) => (on ? time_s - startedAt_s < 3 * spinUp_s : time_s - stoppedAt_s < coasts_s),
    isSteadyAt: (time_s) => (on ? speedAt(time_s) >= 0.98 : speedAt(time_s) === 0),
  };
}
