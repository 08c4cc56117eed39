// That a way to a contact works, and when that was last seen; or that it did not when it was last tried.

import { number, type Row, text } from "./row.ts";

export interface Proven {
  readonly contact: string;
  readonly by: string;
  readonly at_s: number;
}

/** A way that was tried to no avail when it was last tested or proven. */
export interface FailedProof extends Proven {
  readonly reason: string | null;
}

export function readProven(row: Row): Proven {
  return { contact: text(row, "contact"), by: text(row, "by"), at_s: number(row, "at_s") };
}
