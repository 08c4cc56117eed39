// Whether anything is put on the card ahead changes nothing of what people are told: houses in which much happens about the
// moment in which a delay runs out, lived once with forethought and once without.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import type { Outcome } from "../../../daemon/alarms/channels/channel.ts";
import { calm, finding } from "../../analysis/alarms/alarm-input.ts";
import { randomOf } from "../../truth/random.ts";
import { house, neighbour, owner } from "./told-by-hand.ts";

const start_s = 1_700_000_000;
const delay_s = 60;
const kinds = ["high-water", "power-lost", "float-stuck-off", "undersized"] as const;
const config = {
  contacts: [{ ...owner, reach: [...owner.reach, { by: "mail", to: "o@example.org" }], mostAnHour: 3 }, neighbour],
  call: [
    { contacts: ["owner"], after_s: 0 },
    { contacts: ["neighbour"], after_s: 30 },
  ],
  changes: { "supply-lost": { onDelay_s: delay_s, priority: "high" } },
} as const;

async function live(seed: number, withForethought: boolean) {
  const { uniform: random } = randomOf("forethought", seed);
  const folder = mkdtempSync(join(tmpdir(), "forethought-or-not-"));
  const at = house(join(folder, "alarms.sqlite"), config, start_s);
  const { service, clock } = at;
  const { outbox } = service;
  let foreseen = 0;
  const { ahead } = outbox;
  outbox.ahead = (work) => {
    const put = withForethought ? ahead(work) : null;
    return put && { ...put, confirm: () => [put.confirm(), foreseen++] };
  };
  const open = new Map<(typeof kinds)[number], number>();
  let level_m = 0.46;
  const read = () => {
    const openFindings = [...open].map(([kind, from_s]) => finding(kind, from_s));
    service.see({ ...calm, time_s: clock.now_s(), openFindings, level_m, mainsOn: !open.has("power-lost") });
  };
  const one = <Item>(items: readonly Item[]) => items[Math.floor(random() * items.length)] as Item;
  const happens = [
    () => {
      const kind = one(kinds);
      if (!open.delete(kind)) open.set(kind, clock.now_s());
      read();
    },
    () => {
      level_m = one([0.46, 0.46, 0.5, 0.58]);
      read();
    },
    () => service.acknowledge(one(["high-water", "supply-lost"] as const), "Ann"),
    () => service.shelve(one(["high-water", "supply-lost"] as const), clock.now_s() + delay_s, "Ann"),
    () => service.setInService("high-water", random() < 0.5, "Ann"),
    () => service.answer(owner.reach[0].to, "OK", "modem"),
    () => outbox.setNote("more", "1"),
    () => at.answer("modem", one<Outcome>([{ is: "delivered" }, { is: "failed", reason: "busy", again: true }])),
    () => clock.passTo(clock.now_s() + one([-0.1, 0.1, -90, 90])),
  ];
  for (let k = 0; k < 80; k++) {
    const due_s = [...open.values()].map((from_s) => from_s + delay_s).find((time_s) => time_s > clock.now_s());
    const next_s = due_s !== undefined && random() < 0.6 ? due_s - random() * 0.3 : clock.now_s() + random() * 40;
    await clock.turnTo(Math.max(clock.now_s(), next_s));
    (random() < 0.5 ? one(happens.slice(0, 2)) : one(happens))();
  }
  await clock.turnTo(clock.now_s() + 4000);
  const whole = (time_s: number) => Math.round(time_s - start_s);
  const told = at.sent.map(({ at_s, to, key, text, maybeRepeated }) =>
    [whole(at_s), to, key.split("-")[1], maybeRepeated, text].join(" "),
  );
  const kept = outbox
    .messages(1000)
    .map(({ id, key, state, tries, contact }) => [id, key, state, tries, contact].join());
  const happened = outbox.journal(0).map(({ kind, occurrence, at_s }) => `${kind} ${occurrence} ${whole(at_s)}`);
  const standing = service.alarms().map(({ name, state, occurrence }) => `${name} ${state} ${occurrence}`);
  await at.close();
  rmSync(folder, { recursive: true });
  return { foreseen, lived: { told, kept, happened, standing } };
}

it("people are told the same, whatever happens in the moment before a delay has run out", async () => {
  let foreseen = 0;
  for (let seed = 1; seed <= 10; seed++) {
    const withIt = await live(seed, true);
    foreseen += withIt.foreseen;
    expect(withIt.lived, `house ${seed}`).toEqual((await live(seed, false)).lived);
  }
  expect(foreseen).toBeGreaterThan(5);
});
