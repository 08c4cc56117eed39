import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { AlarmsConfig } from "../../../daemon/alarms/alarms-config.ts";
import { isUnheard } from "../../../daemon/alarms/unheard.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house, owner } from "./told-by-hand.ts";

// 1,700,000,000 is 2023-11-14 22:13:20 UTC.
const start_s = 1_700_000_000;
const quiet = { from_min: 22 * 60, to_min: 7 * 60 };
const call = [{ contacts: ["owner"], after_s: 0 }];
let folder: string;
let at: House;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "unheard-"));
});
afterEach(async () => {
  await at.close();
  rmSync(folder, { recursive: true });
});

/** Of a supply that is lost, four minutes later. */
async function unheard(config: Partial<AlarmsConfig>, before: () => void = () => {}): Promise<boolean> {
  at = house(join(folder, "alarms.sqlite"), config, start_s);
  before();
  await at.see(start_s, [finding("power-lost", start_s)]);
  await at.clock.turnTo(start_s + 240);
  return isUnheard(supply(), at.service.outbox, config.contacts?.length ?? 0, at.clock.now_s());
}

function supply() {
  const found = at.service.alarms().find(({ name }) => name === "supply-lost");
  if (found === undefined) throw new RangeError("no supply-lost");
  return found;
}

describe("an alarm that was announced", () => {
  it("is heard of where somebody was told", async () => {
    expect(await unheard({ contacts: [owner], call })).toBe(false);
  });

  it("is unheard of where quiet hours keep it back, until somebody answers it elsewhere", async () => {
    expect(await unheard({ contacts: [{ ...owner, quiet }], call })).toBe(true);
    at.service.acknowledge("supply-lost", "Ann");
    expect(isUnheard(supply(), at.service.outbox, 1, at.clock.now_s())).toBe(false);
  });

  it("is unheard of where the site file keeps it on the page, and where nothing gets through", async () => {
    expect(await unheard({ contacts: [owner], call, changes: { "supply-lost": { tell: false } } })).toBe(true);
    await at.close();
    rmSync(join(folder, "alarms.sqlite"));
    const refuses = () => at.answer("modem", { is: "failed", reason: "no network", again: true });
    await unheard({ contacts: [owner], call }, refuses);
    // Tried again and again, each pause twice as long: the next time is more than a minute ahead.
    await at.clock.turnTo(start_s + 300);
    expect(isUnheard(supply(), at.service.outbox, 1, at.clock.now_s())).toBe(true);
  });

  it("is nobody's to hear of where nobody is told of anything", async () => {
    expect(await unheard({})).toBe(false);
  });
});
