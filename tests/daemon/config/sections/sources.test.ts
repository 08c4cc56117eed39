import { expect, it } from "vitest";
import { parseSiteFile } from "../../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../../daemon/sources/index.ts";

it("no two sources read one line of the board, by whatever name it goes", () => {
  const parsed = parseSiteFile(
    `basin: { shape: round, diameter: 18 in }
sources:
  - { kind: gpio, name: float, channel: high_float, line: 17 }
  - { kind: gpio, name: pump, channel: pump_on, line: 17 }
  - { kind: gpio, name: mains, channel: mains_on, chip: a, offset: 17 }
  - { kind: gpio, name: own float, channel: float_on, chip: a, offset: 17 }
  - { kind: gpio, name: second, channel: pump2_on, chip: b, offset: 17 }
`,
    "site.yaml",
    sourceKinds,
  );
  expect(parsed.ok ? [] : parsed.problems.map(({ text }) => text)).toEqual([
    'site.yaml:4: sources[1].line: expected a line of its own, found that of the source "float"',
    'site.yaml:6: sources[3].offset: expected a line of its own, found that of the source "mains"',
  ]);
});
