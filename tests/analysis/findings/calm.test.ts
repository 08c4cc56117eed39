import { afterAll, describe, expect, it, vi } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { rules } from "../../../analysis/findings/index.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import type { Site } from "../../../analysis/site.ts";
import * as fc from "../../at-random.ts";
import { anyReadings, anySite } from "../arbitrary-readings.ts";
import { smallSite } from "../small-basin.ts";

// The same analysis with rules that all must be asked at every reading.
vi.resetModules();
vi.doMock("../../../analysis/findings/index.ts", () => ({
  rules: rules.map((rule) => ({ ...rule, notWhileCalm: undefined })),
}));
const asking = await import("../../../analysis/analyzer.ts");
afterAll(() => {
  vi.doUnmock("../../../analysis/findings/index.ts");
});

/** Its floats hang so low that the water often stands over them. */
const lowSite: Site = { ...smallSite, basin: { ...smallSite.basin, startLevel_m: 0.2, highLevel_m: 0.25 } };

function findingsBy(create: typeof createAnalyzer, site: Site, readings: readonly Reading[]): [Finding, string][] {
  const findings: [Finding, string][] = [];
  const analyzer = create(site, { sink: { finding: (finding, change) => findings.push([finding, change]) } });
  for (const reading of readings) analyzer.push(reading);
  return findings;
}

describe("calm readings", () => {
  it("leave out no finding, and move none, whatever the recording", () => {
    fc.assert(
      fc.property(fc.oneof(anySite, fc.constant(lowSite)), anyReadings, (site, readings) => {
        const askedEachTime = findingsBy(asking.createAnalyzer, site, readings);
        expect(findingsBy(createAnalyzer, site, readings)).toEqual(askedEachTime);
      }),
      { numRuns: 40 },
    );
  });
});
