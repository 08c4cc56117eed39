import { describe, expect, it } from "vitest";
import { houseTime } from "../../../daemon/alarms/house-time.ts";
import type { MessageRow } from "../../../daemon/alarms/outbox/message-row.ts";
import { planUnproven } from "../../../daemon/alarms/plan-unproven.ts";
import { neighbour, owner } from "./told-by-hand.ts";

const proof = {
  key: "proof-1",
  contact: "owner",
  onlyBy: "modem",
  reason: "no network",
  expires_s: 1000,
} as MessageRow;
const hall = { ...owner, name: "hall", reach: [{ by: "horn", to: "529" }] };
const told = (...contacts: Parameters<typeof planUnproven>[1]["contacts"][number][]) =>
  planUnproven(proof, { contacts }, (by) => by !== "horn", houseTime("UTC")).map(({ contact }) => contact);

describe("a proof that was given up", () => {
  it("is told to the contact itself where it is reached another way, else to the others", () => {
    expect(told({ ...owner, reach: [...owner.reach, ...neighbour.reach] }, neighbour)).toEqual(["owner"]);
    expect(told(owner, neighbour)).toEqual(["neighbour"]);
  });

  it("sounds no horn, which could not say why", () => {
    expect(told({ ...owner, reach: [...owner.reach, ...hall.reach] }, neighbour, hall)).toEqual(["neighbour"]);
    expect(told(owner, hall)).toEqual([]);
  });

  it("says who was not reached, by what, and why", () => {
    const [message] = planUnproven(proof, { contacts: [owner, neighbour] }, () => true, houseTime("UTC"));
    expect(message).toMatchObject({
      ...{ kind: "unproven", priority: "low", due_s: 1000, onlyBy: null },
      facts: { contact: "owner", by: "modem", reason: "no network" },
    });
  });
});
