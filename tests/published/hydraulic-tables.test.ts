// The page of pipes and fittings shows what the program computes with. After a change:
// vitest run tests/published/hydraulic-tables.test.ts -u

import { expect, it } from "vitest";
import { fittingTable, publishedIn } from "../../analysis/hydraulics/fitting-loss.ts";
import { pipeBore, pipeMaterials, pipeSizes } from "../../analysis/hydraulics/pipe-table.ts";

it("tables.md lists every fitting and every pipe with its figures and their sources", async () => {
  await expect(`${head}\n${fittings()}\n${materials()}\n${bores()}`).toMatchFileSnapshot(
    "../../analysis/hydraulics/tables.md",
  );
});

const head = `# Pipes and fittings

Written by tests/published/hydraulic-tables.test.ts from what the program computes with.
`;

function fittings(): string {
  const rows = Object.entries(fittingTable).map(
    ([kind, { label, k, published, source }]) =>
      `| \`${kind}\` | ${label} | ${k} | ${published.join(" to ")} | ${source} |`,
  );
  return `## Fittings

Head lost = K · v²/2g in the pipe that the fitting is in, valves fully open. A fitting's own \`k\` in the site file outranks K. Published values differ by a factor of two to three (${publishedIn}); the range is what the uncertainty of friction comes from.

| kind | what it is | K | published | K's source |
| --- | --- | --- | --- | --- |
${rows.join("\n")}
| \`enlargement\` | from a narrower to a wider bore | (1 − d²/D²)² | | Borda–Carnot, sudden; on the velocity head of the narrower bore |
| \`reducer\` | from a wider to a narrower bore | 0.5·(1 − d²/D²) | | Technical Paper No. 410 (from memory), sudden; on the velocity head of the narrower bore |
| \`other\` | whatever has its own \`k\` | as given | | the site file |
`;
}

function materials(): string {
  const rows = pipeMaterials.map((material) => {
    const nominal_m = pipeSizes(material)[0]?.nominal_m ?? Number.NaN;
    const bore = pipeBore({ material, nominal_m, insideDiameter_m: null, length_m: 1 });
    const label = bore.label.slice((pipeSizes(material)[0]?.label.length ?? 0) + 1);
    const roughness = `${Number((bore.roughness_m * 1000).toPrecision(3))} mm`;
    const c = bore.hazenWilliamsC === null ? "none" : `${bore.hazenWilliamsC} (${bore.sources.c})`;
    return `| \`${material}\` | ${label} | ${bore.sources.bore} | ${roughness} | ${bore.sources.roughness} | ${c} |`;
  });
  return `## Materials

| material | what it is | inside diameters by | roughness | its source | C of Hazen and Williams |
| --- | --- | --- | --- | --- | --- |
${rows.join("\n")}
`;
}

function bores(): string {
  const rows = pipeMaterials.map((material) => {
    const sizes = pipeSizes(material).map(
      ({ label, insideDiameter_m }) => `${label} ${(insideDiameter_m * 1000).toFixed(2)}`,
    );
    return `| \`${material}\` | ${sizes.join(" · ")} |`;
  });
  return `## Inside diameters, mm

| material | size and inside diameter |
| --- | --- |
${rows.join("\n")}
`;
}
