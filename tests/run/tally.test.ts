import { describe, expect, it } from "vitest";
import { tally } from "./tally.ts";

const file = (status: string, ...tests: string[]) => ({
  status,
  assertionResults: tests.map((each) => ({ status: each })),
});

describe("tally", () => {
  it("counts what passed, failed and did not run", () => {
    const testResults = [
      file("passed", "passed", "passed", "skipped"),
      file("failed", "failed", "passed", "todo", "pending"),
    ];
    expect(tally({ testResults })).toEqual({ passed: 3, failed: 1, skipped: 3 });
  });

  it("counts a file that did not load as a failure", () => {
    expect(tally({ testResults: [file("failed"), file("failed", "passed")] })).toEqual({
      passed: 1,
      failed: 2,
      skipped: 0,
    });
  });

  it("finds nothing in an empty run", () => {
    expect(tally({ testResults: [] })).toEqual({ passed: 0, failed: 0, skipped: 0 });
  });
});
