// Finds a GPIO line's number in the kernel. A chip's first number differs from kernel to kernel and from start to
// start, so it is looked up each time, by the chip's label.

import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

/** By label and offset, or by the kernel's own number. */
export interface LineAddress {
  readonly chip?: string | undefined;
  readonly offset?: number | undefined;
  readonly line?: number | undefined;
}

/**
 * @param folder `/sys/class/gpio`, or one like it
 * @throws when there is no such line, with the chips that there are
 */
export function findLine(address: LineAddress, folder: string): number {
  if (!existsSync(join(folder, "export"))) {
    throw new Error(
      `${folder}: not there; this kernel leaves out the numbered GPIO interface (GPIO_SYSFS). ` +
        "Use a kernel that has it, or bring the contact in over MQTT",
    );
  }
  const { chip, offset, line } = address;
  if (chip === undefined || offset === undefined) return line ?? Number.NaN;
  const chips = chipsIn(folder);
  const [found, ...others] = chips.filter(({ label }) => label === chip);
  if (found === undefined) throw new Error(`expected the label of a GPIO chip, found "${chip}"; ${listed(chips)}`);
  if (others.length > 0) {
    throw new Error(`${others.length + 1} GPIO chips are labelled "${chip}"; give line instead; ${listed(chips)}`);
  }
  if (offset >= found.lines) {
    throw new Error(`chip "${chip}": expected an offset from 0 to ${found.lines - 1}, found ${offset}`);
  }
  return found.base + offset;
}

/** `line 3 of chip "pit"`, as a message names it. */
export function lineText({ chip, offset, line }: LineAddress): string {
  return chip === undefined ? `GPIO line ${line}` : `GPIO line ${offset} of chip "${chip}"`;
}

/** The chips that there are, for a message. */
export function chipsText(folder: string): string {
  return listed(chipsIn(folder));
}

interface Chip {
  readonly label: string;
  /** The kernel's number of its first line. */
  readonly base: number;
  readonly lines: number;
}

function chipsIn(folder: string): Chip[] {
  return readdirSync(folder)
    .filter((name) => name.startsWith("gpiochip"))
    .map((name) => {
      const text = (file: string) => readFileSync(join(folder, name, file), "utf8").trim();
      return { label: text("label"), base: Number(text("base")), lines: Number(text("ngpio")) };
    })
    .sort((a, b) => a.base - b.base);
}

function listed(chips: readonly Chip[]): string {
  if (chips.length === 0) return "there is no GPIO chip here";
  const text = ({ label, base, lines }: Chip) => `"${label}" (${lines} lines, numbers ${base} to ${base + lines - 1})`;
  return `chips here: ${chips.map(text).join(", ")}`;
}
