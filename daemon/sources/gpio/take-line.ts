// Takes a GPIO line as an input through `onoff`, and makes sure that it is what it was asked to be.

import type { Gpio } from "onoff";

/** What is used of `onoff`; a test has its own. */
export type GpioDriver = new (
  ...args: ConstructorParameters<typeof Gpio>
) => Pick<Gpio, "readSync" | "watch" | "unexport" | "direction" | "activeLow">;

export type TakenLine = InstanceType<GpioDriver>;

/** @throws what `onoff` or the kernel says; or that another program holds the line with settings of its own */
export function takeLine(Driver: GpioDriver, number: number, activeLow: boolean): TakenLine {
  const line = withEdges(Driver, number, activeLow);
  try {
    // A line that was exported before, say by a daemon that was killed, is taken over, and onoff swallows what fails then.
    const direction = line.direction();
    if (direction === "in" && line.activeLow() === activeLow) return line;
    throw new Error(`in use with settings of another program (${direction}); end that program, or use another line`);
  } catch (error) {
    giveBack(line);
    throw error;
  }
}

/** Releases a line that cannot be used; why it cannot is what is said, not what fails on top of that. */
export function giveBack(line: Pick<TakenLine, "unexport">): void {
  // Where watching failed, onoff's first attempt ends at the watch that never was, with the line still taken.
  for (let attempt = 1; attempt <= 2; attempt++) {
    try {
      line.unexport();
      return;
    } catch {
      // The second attempt is the last.
    }
  }
}

// A line without an interrupt has no edge to wait for. It is read on a timer all the same, which is enough for a float.
function withEdges(Driver: GpioDriver, number: number, activeLow: boolean): TakenLine {
  try {
    return new Driver(number, "in", "both", { activeLow });
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "ENOENT" && error.message.includes("/edge"))) {
      throw error;
    }
    return new Driver(number, "in", undefined, { activeLow });
  }
}
