// The address of an annunciator: the kernel's own number of a GPIO line, `529`, or chip and offset, `pinctrl-board/17`.

import type { LineAddress } from "../../../sources/gpio/find-line.ts";

/** What is wrong with it, as `expected …, found …`; null when it is right. */
export function lineProblem(to: string): string | null {
  if (/^\d{1,6}$/.test(to) || /^.*\S\/\d{1,6}$/.test(to)) return null;
  return `expected a GPIO line as its number, such as 529, or as chip/offset, such as pinctrl-board/17, found ${JSON.stringify(to)}`;
}

/** @param to as `lineProblem` let it pass */
export function lineAt(to: string): LineAddress {
  const slash = to.lastIndexOf("/");
  return slash === -1 ? { line: Number(to) } : { chip: to.slice(0, slash), offset: Number(to.slice(slash + 1)) };
}

/** Whether both name the same line, as far as that can be told without the kernel. */
export function isSameLine(one: LineAddress, other: LineAddress): boolean {
  return one.line === other.line && one.chip === other.chip && one.offset === other.offset;
}
