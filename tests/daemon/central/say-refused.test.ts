import { expect, it } from "vitest";
import { refusedSince } from "../../../daemon/central/say-refused.ts";

const none = { messages: 0, strangers: 0, last: null };

it("what was left out is said by number and last topic, on one line whatever that holds, and nothing of nothing", () => {
  expect(refusedSince(none, none)).toBeNull();
  expect(refusedSince(none, { messages: 3, strangers: 0, last: "elm-12/state" })).toBe(
    'broker: messages left out in the last minute: 3 that no board says, or too many in a second; the last: "elm-12/state"',
  );
  const odd = { messages: 3, strangers: 2, last: `a\nb\u001b[31m/${"x".repeat(500)}` };
  const line = refusedSince({ ...none, messages: 3 }, odd) ?? "";
  expect(line).toMatch(
    /^broker: .*: 2 under names that cannot be, or one too many; the last: "a\\nb\\u001b\[31m\/x+"$/,
  );
  expect(line.length).toBeLessThan(250);
});
