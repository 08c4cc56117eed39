// The alarms' README: its table is that of the code, its site file passes the check, and its night is told as it says.

import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { smallSite } from "../../analysis/small-basin.ts";
import { house, neighbour, owner } from "./told-by-hand.ts";

const text = readFileSync(new URL("../../../daemon/alarms/README.md", import.meta.url), "utf8");
const blocks = (language: string) =>
  [...text.matchAll(new RegExp(`^\`\`\`${language}\\n([^]*?)^\`\`\``, "gm"))].map(([, code = ""]) => code);
const time = (duration_s: number) =>
  duration_s === 0 ? "at once" : duration_s < 3600 ? `${duration_s / 60} min` : `${duration_s / 3600} h`;

describe("the README of the alarms", () => {
  it("has a row for each alarm, in the table's order, with its priority and delays", () => {
    const rows = [...text.matchAll(/^\| `([\w-]+)` \| (\w+) \| ([^|]+) \| ([^|]+) \|/gm)].map(([, ...cells]) => cells);
    expect(rows).toEqual(
      alarmTable.map(({ name, priority, onDelay_s, offDelay_s }) => [
        name,
        priority,
        time(onDelay_s),
        time(offDelay_s),
      ]),
    );
  });

  it("shows site files that pass the check", () => {
    const shown = blocks("yaml");
    expect(shown.length).toBeGreaterThan(1);
    for (const code of shown) {
      const parsed = parseSiteFile(`basin: { shape: round, diameter: 18 in }\n${code}`, "site.yaml", sourceKinds);
      expect(parsed.ok || parsed.problems).toBe(true);
    }
  });

  it("tells its night as it says", async () => {
    const [night = ""] = blocks("text");
    expect(await toldInTheNight()).toEqual(night.trim().split("\n"));
  });
});

const start_s = Date.UTC(2026, 10, 14, 2) / 1000;
const minute_s = 60;

/** The supply fails at two, the water rises by 5 mm a minute, somebody answers, the supply is back at three. */
async function toldInTheNight(): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), "night-"));
  const basin = { ...smallSite.basin, overflowLevel_m: 0.6, highLevel_m: 0.45 };
  const at = house(
    join(folder, "alarms.sqlite"),
    {
      contacts: [
        { ...owner, name: "Ann" },
        { ...neighbour, name: "Neighbour" },
      ],
      call: [
        { contacts: ["Ann"], after_s: 0 },
        { contacts: ["Neighbour"], after_s: 600 },
      ],
      callAgain: { after_s: 900, times: 5 },
    },
    start_s,
    { ...smallSite, basin },
  );
  const lost = finding("power-lost", start_s);
  const water = finding("high-water", start_s + 30 * minute_s);
  for (let s = 0; s <= 80 * minute_s; s += 10) {
    const isLost = s < 60 * minute_s;
    const level_m = isLost ? 0.3 + (s / minute_s) * 0.005 : 0.3;
    const findings = [...(isLost ? [lost] : []), ...(s >= 30 * minute_s && isLost ? [water] : [])];
    await at.see(start_s + s, findings, { level_m, pumpRunning: false, mainsOn: !isLost });
    if (s === 42 * minute_s) at.service.acknowledge("high-water", "Neighbour");
  }
  await at.clock.turnTo(start_s + 7200);
  await at.close();
  rmSync(folder, { recursive: true });
  const clock = (at_s: number) => new Date(at_s * 1000).toISOString().slice(11, 19);
  return at.sent.map(({ at_s, by, text }) => `${clock(at_s)} to ${by === "modem" ? "Ann" : "Neighbour"}: ${text}`);
}
