// What the sizing report is written from.

import type { InflowStretch } from "../analyzer.ts";
import type { Site } from "../site.ts";
import type { SizingAnswer } from "../sizing/sizing-answer.ts";

export interface ReportInput {
  readonly answer: SizingAnswer;
  /** As the answer was reckoned for. */
  readonly site: Site;
  /** Of the record, in order of time; empty after a hand test. */
  readonly inflow: readonly InflowStretch[];
  readonly madeAt: string;
  /** Of the program. */
  readonly version: string;
  /** The readings are not of a real basin, and the report says so. */
  readonly invented: boolean;
}
