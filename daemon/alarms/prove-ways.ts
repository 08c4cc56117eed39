// Messages that prove a way to a contact: a test that somebody asks for, and the proof of each month.

import type { AlarmsConfig } from "./alarms-config.ts";
import { type HouseTime, onTheWall } from "./house-time.ts";
import type { Outbox } from "./outbox/outbox.ts";

export interface Proofs {
  /**
   * Makes tests of a contact's ways, or of one of them; returns the numbers of the messages.
   *
   * @throws {RangeError} where there is no such way, or one was tested just before
   */
  test(contact: string, by: string | null, askedBy: string | null): number[];
  /** On the first of each month that the board lives to see, each way of each contact is proven. @returns whether it is time */
  monthly(time_s: number): boolean;
}

export interface ProofParts {
  readonly config: Pick<AlarmsConfig, "contacts" | "monthlyProof">;
  readonly outbox: Outbox;
  readonly house: HouseTime;
  readonly now_s: () => number;
}

const testExpires_s = 600;
const betweenTests_s = 30;
const testsLookedAt = 200;
/** A proof waits for the end of quiet hours. */
const proofExpires_s = 86_400;
/** Of the day, for proofs: somebody is awake to read them. */
const proofHour = 10;

export function createProofs({ config, outbox, house, now_s }: ProofParts): Proofs {
  let provenIn: string | null = null;

  function make(contact: string, ways: readonly string[], kind: "test" | "proof", askedBy: string | null): number[] {
    const at_s = now_s();
    const keys = ways.map((by, i) => `${kind}-${Math.round(at_s * 1000)}-${i}-${by}`);
    outbox.keep({
      alarms: [],
      messages: ways.map((by, i) => ({
        ...{ key: keys[i] ?? "", kind, alarm: null, occurrence: "", priority: "low", contact, onlyBy: by },
        ...{ due_s: at_s, expires_s: at_s + (kind === "test" ? testExpires_s : proofExpires_s) },
        ...{ from_s: null, to_s: null, facts: askedBy === null ? {} : { asked_by: askedBy } },
      })),
      now_s: at_s,
    });
    return outbox
      .waiting()
      .filter(({ key }) => keys.includes(key))
      .map(({ id }) => id);
  }

  return {
    test(contact, by, askedBy) {
      const ways = waysTo(config, contact).filter((way) => by === null || way === by);
      if (ways.length === 0) {
        const found = `${contact}${by === null ? "" : ` by ${by}`}`;
        throw new RangeError(`test: expected a contact and one of its channels, found ${found}`);
      }
      refuseSoonAgain(outbox, contact, ways, now_s());
      return make(contact, ways, "test", askedBy);
    },
    monthly(time_s) {
      if (!config.monthlyProof || config.contacts.length === 0) return false;
      const at = onTheWall(time_s, house);
      const month = `${at.year}-${String(at.month).padStart(2, "0")}`;
      if ((provenIn !== null && month <= provenIn) || at.hour < proofHour) return false;
      provenIn ??= outbox.note("last-proof") ?? month; // a new board has been tested by hand
      // A clock that was set back gives no second proof.
      if (month < provenIn) return false;
      const isTime = month > provenIn;
      if (isTime) for (const { name } of config.contacts) make(name, waysTo(config, name), "proof", null);
      outbox.setNote("last-proof", month);
      provenIn = month;
      return isTime;
    },
  };
}

function waysTo({ contacts }: Pick<AlarmsConfig, "contacts">, contact: string): string[] {
  return (contacts.find(({ name }) => name === contact)?.reach ?? []).map(({ by }) => by);
}

/** Each costs money by some ways, and patience by all. */
function refuseSoonAgain(outbox: Outbox, contact: string, ways: readonly string[], at_s: number): void {
  const again = outbox
    .messages(testsLookedAt)
    .find(
      (row) =>
        row.kind === "test" &&
        at_s - row.created_s < betweenTests_s &&
        at_s >= row.created_s &&
        row.contact === contact &&
        row.onlyBy !== null &&
        ways.includes(row.onlyBy),
    );
  if (again === undefined) return;
  const ago_s = Math.round(at_s - again.created_s);
  throw new RangeError(
    `test: expected ${betweenTests_s} s between two tests of one way, found ${ago_s} s for ${contact} by ${again.onlyBy}`,
  );
}
