// Lets a recording's time pass at some multiple of the clock's, and holds each reading back until it is due. What is
// played does not matter here.

export interface Pacer {
  speed(): number;
  /** Counts at once, also for a reading that is being waited for. */
  setSpeed(speed: number): void;
  /**
   * Null when the moment has come already. The first moment asked for comes at once.
   * The promise is rejected with `Stopped` once the pacer is stopped.
   */
  wait(time_s: number): Promise<void> | null;
  stop(): void;
  stopped(): boolean;
}

/** The recording is not to be played any further. */
export class Stopped extends Error {}

/** Longest turn of work before everything else in the process has its own. */
const turn_ms = 10;
/** Shortest pause: between turns, and between readings that follow closely. */
const pause_ms = 5;
/** Longest pause before another look; a timer cannot be set for more than 24.8 days. */
const longestPause_ms = 3_600_000;
/** How far play may fall behind before the time it missed is let go rather than caught up with. */
const patience_s = 1;

export function createPacer(initialSpeed: number, now_s: () => number): Pacer {
  let speed = initialSpeed;
  let anchor: { readonly played_s: number; readonly clock_s: number } | null = null;
  let turnEnds_ms = 0;
  let stopped = false;
  let wake = () => {};

  const played_s = () => (anchor === null ? Number.NaN : anchor.played_s + (now_s() - anchor.clock_s) * speed);
  const anchorAt = (time_s: number) => {
    anchor = { played_s: time_s, clock_s: now_s() };
  };
  const pause = (wait_ms: number) =>
    new Promise<void>((done) => {
      const timer = setTimeout(done, Math.min(Math.max(wait_ms, pause_ms), longestPause_ms));
      wake = () => {
        clearTimeout(timer);
        done();
      };
    });

  const untilDue = async (time_s: number) => {
    do {
      await pause(((time_s - played_s()) / speed) * 1000);
      if (stopped) throw new Stopped("stopped");
    } while (time_s > played_s());
    if ((played_s() - time_s) / speed > patience_s) anchorAt(time_s);
    turnEnds_ms = performance.now() + turn_ms;
  };

  return {
    speed: () => speed,
    setSpeed(wanted) {
      if (anchor !== null) anchorAt(played_s());
      speed = wanted;
      wake();
    },
    wait(time_s) {
      if (anchor === null) anchorAt(time_s);
      return time_s <= played_s() && performance.now() < turnEnds_ms && !stopped ? null : untilDue(time_s);
    },
    stop() {
      stopped = true;
      wake();
    },
    stopped: () => stopped,
  };
}
