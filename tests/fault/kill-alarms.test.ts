import { describe, expect, it } from "vitest";
import { killAlarms } from "./kill-alarms.ts";

describe("alarms that are killed between finding and delivery", () => {
  it("lose no message, and tell twice only what is marked so", { timeout: 120_000 }, async () => {
    const { kills, lost, unmarked } = await killAlarms(12);
    expect(kills).toBeGreaterThanOrEqual(12);
    expect({ lost, unmarked }).toEqual({ lost: [], unmarked: [] });
  });
});
