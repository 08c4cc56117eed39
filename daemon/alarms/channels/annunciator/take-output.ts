// Takes a GPIO line as an output that is off, through `onoff`; one that is an input of somebody's stays one.

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Gpio } from "onoff";

/** What is used of `onoff`; a test has its own. */
export type OutputDriver = new (
  ...args: ConstructorParameters<typeof Gpio>
) => Pick<Gpio, "writeSync" | "unexport" | "direction">;

export type TakenOutput = InstanceType<OutputDriver>;

/**
 * @param folder `/sys/class/gpio`, or one like it
 * @throws what `onoff` or the kernel says; or that the line is an input: a float's contact may tie it to ground, and to drive
 *         it could harm the board
 */
export function takeOutput(Driver: OutputDriver, number: number, activeLow: boolean, folder: string): TakenOutput {
  const direction = join(folder, `gpio${number}`, "direction");
  if (existsSync(direction) && readFileSync(direction, "utf8").trim() === "in")
    throw new Error("in use as an input, by a source or another program; give the annunciator a line of its own");
  // Off from the first moment: the kernel takes `high` and `low` as the line's own level.
  const line = new Driver(number, activeLow ? "high" : "low", "none", { activeLow });
  line.writeSync(0);
  return line;
}

/** Off, then released, as far as the kernel still has it. */
export function giveBackQuiet(line: TakenOutput): void {
  try {
    line.writeSync(0);
    line.unexport();
  } catch {
    // The chip is gone, and its line with it.
  }
}
