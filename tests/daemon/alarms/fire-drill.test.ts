import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it, vi } from "vitest";
import type { AlarmDefinition } from "../../../analysis/alarms/alarm.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import { fireDrill } from "../../../daemon/alarms/fire-drill.ts";
import { holdDrills } from "../../../daemon/alarms/hold-drills.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import { smallSite } from "../../analysis/small-basin.ts";

const parts = { site: smallSite, config: nobodyTold, now_s: 1_700_000_000 };

it("a fire drill tells of its supply and of its end, in each round, in whatever basin", async () => {
  await expect(fireDrill({ ...parts, definitions: alarmTable }, 3)).resolves.toBeUndefined();
  const folder = join(import.meta.dirname, "../../../deploy/sites");
  for (const name of readdirSync(folder).filter((each) => each.endsWith(".yaml"))) {
    const parsed = parseSiteFile(readFileSync(join(folder, name), "utf8"), join(folder, name), sourceKinds);
    if (!parsed.ok) throw new Error(name);
    const { site, alarms } = parsed.siteFile;
    const drill = fireDrill({ site, definitions: alarmTable, config: alarms, now_s: parts.now_s }, 2);
    await expect(drill, name).resolves.toBeUndefined();
  }
});

it("a fire drill counts its supply alone, also where a site has every alarm told at once", async () => {
  const definitions = alarmTable.map((each) => ({ ...each, onDelay_s: 0 }));
  const basin = { ...smallSite.basin, startLevel_m: 0.25, overflowLevel_m: 0.4 };
  const site = { ...smallSite, basin };
  await expect(fireDrill({ ...parts, site, definitions }, 3)).resolves.toBeUndefined();
});

it("a fire drill in which nobody would be told says so", async () => {
  const broken = alarmTable.map((each) => ({ ...each, since: () => null }));
  await expect(fireDrill({ ...parts, definitions: broken }, 3)).rejects.toThrow(
    "expected 2 messages of a drill, found 0",
  );
});

it("drills are held at the start and every ten minutes, and say once that they fail, and once that they do not", async () => {
  const due: { readonly run: () => void; readonly wait_s: number }[] = [];
  const log: string[] = [];
  let isBroken = false;
  const definitions = alarmTable.map((each) => ({
    ...each,
    since: (...all: Parameters<AlarmDefinition["since"]>) => (isBroken ? null : each.since(...all)),
  }));
  const drills = holdDrills(
    { ...parts, definitions },
    {
      now_s: () => parts.now_s,
      schedule(run, wait_s) {
        due.push({ run, wait_s });
        return () => {};
      },
      log: (line) => log.push(line),
    },
  );
  const hold = async (broken: boolean) => {
    isBroken = broken;
    const held = due.length;
    due.at(-1)?.run();
    await vi.waitFor(() => expect(due.length).toBe(held + 1), { timeout: 15_000 });
    return drills.problem();
  };
  expect(await hold(false)).toBeNull();
  expect(await hold(true)).toBe("the alarms' own drill failed: expected 2 messages of a drill, found 0");
  expect(await hold(true)).not.toBeNull();
  expect(await hold(false)).toBeNull();
  expect(due.slice(1).map(({ wait_s }) => wait_s)).toEqual([600, 600, 600, 600]);
  expect(log).toEqual([
    "alarms: the alarms' own drill failed: expected 2 messages of a drill, found 0",
    "alarms: their drill went well again",
  ]);
  drills.close();
});
