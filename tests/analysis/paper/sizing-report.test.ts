import { describe, expect, it } from "vitest";
import type { ReportInput } from "../../../analysis/paper/report-input.ts";
import { reportDocument, sizingReport } from "../../../analysis/paper/sizing-report.ts";
import type { Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { usualBackup } from "../../../dashboard/worksheet/sheet.ts";
import { exampleHouse, ft, gpm } from "../example-house.ts";

const house: Site = { ...exampleHouse, name: "House of <brick> & stone" };

const bare: Site = {
  ...house,
  basin: {
    ...house.basin,
    depth_m: null,
    startLevel_m: null,
    stopLevel_m: null,
    highLevel_m: null,
    overflowLevel_m: null,
  },
  pump: null,
  discharge: null,
};

/** A rise of 20 in in a minute in an 18 in basin: some 21 gpm. */
const rise = { rise_m: 0.508, watched_s: 60, from_m: null };

function inputFor(site: Site, rises = [rise, rise, rise]): ReportInput {
  const hand = rises.length > 0 ? { rises, uRuler_m: null, uWatch_s: null, wanted: null } : null;
  const answer = sizeBasin({ site, logged: null, hand });
  return { answer, site, inflow: [], madeAt: "2026-03-04T17:00:00Z", version: "1.2.3", invented: false };
}

/** The text of each cell of the table of that class, row by row. */
function rowsOf(report: string, table: string): string[][] {
  const found = new RegExp(`<table class="${table}">.*?</table>`, "s").exec(report)?.[0] ?? "";
  const text = (cell: string) =>
    cell
      .replaceAll(/<(small|sup)>.*?<\/\1>/gs, "")
      .replaceAll(/<[^>]*>/g, "")
      .trim();
  return [...found.matchAll(/<tr>(.*?)<\/tr>/gs)].map(([, row = ""]) =>
    [...row.matchAll(/<t[hd][^>]*>(.*?)<\/t[hd]>/gs)].map(([, cell = ""]) => text(cell)),
  );
}

/** Does the sum that stands in a cell, as a person with a pencil would: units and letters left out. */
function byPencil(sum: string): number {
  return sum
    .split(/ (?=[×÷−+] )/)
    .map((part) => ({
      sign: /^[×÷−+]/.exec(part)?.[0] ?? "+",
      value: Number(/\d+(\.\d+)?/.exec(part.replace(/^K /, ""))?.[0]),
    }))
    .reduce((so, { sign, value }) => {
      if (sign === "×") return so * value;
      if (sign === "÷") return so / value;
      return sign === "−" ? so - value : so + value;
    }, 0);
}

describe.each(["us", "metric"] as const)("the head, line by line, in %s units", (displayUnits) => {
  const report = sizingReport(inputFor({ ...house, displayUnits })).text;
  const rows = rowsOf(report, "head-sum");
  const lines = rows.filter(([, sum = ""]) => /^[\df]/.test(sum));

  it("can be done again by hand from the figures on the page", () => {
    expect(lines.length).toBeGreaterThanOrEqual(6);
    for (const [what, sum = "", head = ""] of lines) {
      const shown = Number.parseFloat(head);
      const tolerance = 0.0006 + 0.0015 * shown; // half of the last digit, and what the factors' last digits leave open
      expect(Math.abs(byPencil(sum) - shown), `${what}: ${sum} = ${head}`).toBeLessThan(tolerance);
    }
  });

  it("adds up from the figures as they are printed, to their last digit", () => {
    const figure = (name: string) => Number.parseFloat(rows.find(([what]) => what === name)?.[2] ?? "");
    const sum = (matching: RegExp) =>
      lines
        .filter(([, said = ""]) => matching.test(said))
        .reduce((so, [, , head = ""]) => so + Number.parseFloat(head), 0);
    expect(sum(/^f |K /)).toBeCloseTo(figure("Friction head"), 6);
    expect(sum(/ − /)).toBeCloseTo(figure("Static head"), 6);
    expect(figure("Static head") + figure("Friction head")).toBeCloseTo(figure("Total dynamic head"), 6);
  });

  it("has the other formula beside it, near to the first", () => {
    const [, friction = ""] = /by Hazen and Williams with C \d+: friction ([\d.]+) /.exec(report) ?? [];
    const own = Number.parseFloat(rows.find(([what]) => what === "Friction head")?.[2] ?? "");
    expect(Math.abs(Number(friction) / own - 1)).toBeLessThan(0.1);
  });

  it("shows how the velocity and its head come of flow and bore", () => {
    const found = /velocity ([\d.]+) × ([\d.]+) [^÷]*÷ \(([\d.]+) \w+\)² = ([\d.]+) .*?v² ÷ ([\d.]+) = ([\d.]+)/.exec(
      report,
    );
    const [factor = 0, flow = 0, bore = 0, speed = 0, twoG = 0, head = 0] = (found ?? []).slice(1).map(Number);
    expect(Math.abs((factor * flow) / bore ** 2 / speed - 1)).toBeLessThan(0.001);
    expect(Math.abs(speed ** 2 / twoG / head - 1)).toBeLessThan(0.001);
  });
});

describe("the sizing report", () => {
  const report = sizingReport(inputFor(house)).text;

  it("has verdict, required flow, what to ask for, floats, time to the floor, assumptions and cautions", () => {
    for (const title of [
      "What was measured",
      "How much must be pumped",
      "The head to overcome, line by line",
      "The pump against the pipe",
      "What to ask a supplier for",
      "Floats and starts",
      "If the pump stops",
      "What was assumed",
      "How sure these figures are",
      "Cautions",
    ]) {
      expect(report).toContain(`<h2>${title}</h2>`);
    }
    expect(report).toMatch(/local codes and licensed practice/i);
    expect(report).toMatch(/ ± [\d.]+ gpm/);
  });

  it("has no ± that shows as nothing, and writes ruler readings as they were read", () => {
    expect(report).not.toMatch(/± 0(\.0+)? /);
    const eighths = { rise_m: 7.875 * 0.0254, watched_s: 90, from_m: null };
    const said = sizingReport(inputFor(house, [eighths, eighths, eighths])).text;
    expect(said).toContain("<td>7.875 in</td><td>90 s</td>");
  });

  it("tells from where to where a velocity is called good", () => {
    expect(report).toContain("Too slow: under 2.00 ft/s");
    expect(report).toContain("Good: up to 5.00 ft/s");
  });

  it("has starts that are too many in its headline, and does not take one hand test for all weather", () => {
    const box = /<section class="verdict[^>]*>.*?<\/section>/s.exec(report)?.[0] ?? "";
    expect(box).toMatch(/It starts too often: \d+ times an hour at the measured peak, 20 are allowed\./);
    expect(box).toContain("By what has been seen so far, ask a supplier for");
    const enough = sizingReport(inputFor(house, [{ ...rise, watched_s: 600 }])).text;
    expect(enough).toContain("The pump is large enough for the rise that was watched.");
    expect(enough).toContain("verdict-open");
  });

  it("escapes the name of the site, in the page's title too", () => {
    expect(report).toContain("<h1>House of &lt;brick&gt; &amp; stone</h1>");
    expect(reportDocument(inputFor(house), "")).toContain(
      "<title>Sizing report, House of &lt;brick&gt; &amp; stone</title>",
    );
  });

  it("writes times on the site's clock, and the day it was made", () => {
    expect(report).toContain("Made on 4 March 2026 with Undercroft 1.2.3; measured by hand.");
  });

  it("says that a simulation is one", () => {
    expect(sizingReport({ ...inputFor(house), invented: true }).text).toContain("Simulation — not a real basin.");
    expect(report).not.toContain("Simulation");
  });

  it("needs nothing from elsewhere, and takes the paper of the place", () => {
    const page = reportDocument(inputFor(house), "p { color: #000 }");
    expect(page).not.toMatch(/https?:|url\(|<script|<link|<img|src=/i);
    expect(page).toContain("@page { size: letter; }");
    expect(page).toContain("<body>");
    expect(reportDocument(inputFor(house), "", true)).toContain('<body class="dense">');
    expect(reportDocument(inputFor({ ...house, displayUnits: "metric" }), "")).toContain("@page { size: A4; }");
  });

  it("asks for what is missing and leaves those parts out, where only a basin is known", () => {
    const little = sizingReport(inputFor(bare, [])).text;
    expect(little).toContain("Not enough is known yet");
    expect(little).toContain("Not known, and asked for");
    expect(little).not.toMatch(/NaN|undefined|null|Infinity/);
    expect(little).not.toContain("The pump against the pipe");
  });

  it("says no figure that is none, whatever is known and whatever is not", () => {
    const parts = ["stop", "start", "high", "floor", "pump", "discharge", "backup", "hand", "metric"] as const;
    for (let subset = 0; subset < 2 ** parts.length; subset++) {
      const has = (part: (typeof parts)[number]) => ((subset >> parts.indexOf(part)) & 1) === 1;
      const { basin } = house;
      const site: Site = {
        ...house,
        displayUnits: has("metric") ? "metric" : "us",
        basin: {
          ...basin,
          stopLevel_m: has("stop") ? basin.stopLevel_m : null,
          startLevel_m: has("start") ? basin.startLevel_m : null,
          highLevel_m: has("high") ? basin.highLevel_m : null,
          overflowLevel_m: has("floor") ? basin.overflowLevel_m : null,
        },
        pump: has("pump") ? house.pump : null,
        discharge: has("discharge") ? house.discharge : null,
        backup: has("backup") ? { ...usualBackup, hold_s: 14_400, capacity_ah: 100, pumpPower_w: 480 } : null,
      };
      const said = sizingReport(inputFor(site, has("hand") ? [rise, rise, rise] : [])).text;
      const known = parts.filter(has).join(", ");
      expect(said, known).not.toMatch(/NaN|Infinity|undefined|null|\[object/);
      expect(said, known).not.toMatch(/<section><h2>[^<]*<\/h2><\/section>/);
      expect(said, known).toMatch(/local codes and licensed practice/i);
    }
  });

  it("names both figures of a pump that cannot lift so high", () => {
    const weak = {
      ...house,
      pump: {
        curve: [
          { flow_m3s: 0, head_m: 8 * ft },
          { flow_m3s: 20 * gpm, head_m: 0 },
        ],
        maxStartsPerHour: null,
        minRun_s: null,
      },
    };
    const said = sizingReport(inputFor(weak)).text;
    expect(said).toContain("This does not go together");
    expect(said).toMatch(/8 ft.*9\.5 ft|9\.5 ft.*8 ft/);
    expect(said).not.toMatch(/NaN|undefined|Infinity/);
  });
});
