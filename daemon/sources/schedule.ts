// A timer as an argument, so that a test can turn the clock.

/** Runs something after so many seconds, once, and gives the way to call it off. */
export type Schedule = (run: () => void, wait_s: number) => () => void;

export const schedule: Schedule = (run, wait_s) => {
  const timer = setTimeout(run, wait_s * 1000);
  return () => clearTimeout(timer);
};
