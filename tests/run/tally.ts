// Counts the outcomes in the test runner's JSON.

import * as z from "zod";

export interface Tally {
  readonly passed: number;
  readonly failed: number;
  /** Skipped, still to be written, or never reached. */
  readonly skipped: number;
}

const results = z.object({
  testResults: z.array(z.object({ status: z.string(), assertionResults: z.array(z.object({ status: z.string() })) })),
});

/** A file that failed although none of its tests did (it did not load, or its clean-up broke) counts as one failure. */
export function tally(json: unknown): Tally {
  const files = results.parse(json).testResults;
  const count = (wanted: string) =>
    files.flatMap((file) => file.assertionResults).filter(({ status }) => status === wanted).length;
  const tests = files.reduce((sum, file) => sum + file.assertionResults.length, 0);
  const brokenFiles = files.filter(
    (file) => file.status === "failed" && file.assertionResults.every(({ status }) => status !== "failed"),
  );
  const [passed, failed] = [count("passed"), count("failed")];
  return { passed, failed: failed + brokenFiles.length, skipped: tests - passed - failed };
}
