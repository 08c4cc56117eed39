import { h } from "preact";
import { renderToString } from "preact-render-to-string";
import { describe, expect, it } from "vitest";
import type { FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import type { LiveState } from "../../../daemon/server/api-types.ts";
import { Figures } from "../../../dashboard/parts/figures.tsx";

/** What the figures say of an inflow of 60 L/min. */
function said(change: Partial<FlowEstimate>): string {
  const inflow = { flow_m3s: 1e-3, uFlow_m3s: 1e-5, degreesOfFreedom: 30, ...change };
  const situation = { level_m: null, levelRate_ms: null, pumpRate: null, inflow, startsInLastHour: 0 };
  const html = renderToString(h(Figures, { state: { situation } as unknown as LiveState }));
  return html.replaceAll(/<[^>]*>/g, " ").replaceAll(/\s+/g, " ");
}

describe("the figures of the moment", () => {
  it("have the ± of what comes in, or say that it is the least", () => {
    expect(said({})).toMatch(/Comes in [\d.]+ [^±]*± [\d.]+ when last measured/);
    expect(said({ unseenCourse: "least" })).toMatch(/Comes in [\d.]+ \S+ at least so much/);
  });
});
