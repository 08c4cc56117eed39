// One suite that every kind of channel passes, with nothing at the other end: what is said then, and that it never throws.
// A new kind adds its case here; the first test notices when it does not.

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { channelKinds } from "../../daemon/alarms/channels/index.ts";
import { explainIssue } from "../../daemon/config/explain-issue.ts";
import { listeningChannel, message } from "../daemon/alarms/channels/listening-channel.ts";
import { freePort } from "../real/free-port.ts";
import { until } from "../real/until.ts";

interface ChannelCase {
  /** Keys of one that opens in the test's folder, with nobody at the port. */
  keys(port: number): Record<string, unknown>;
  to(port: number): string;
  readonly wrongTo: string;
  readonly problem: string;
  readonly wrong: Record<string, unknown>;
  readonly wrongProblem: string;
}

const cases: Readonly<Record<string, ChannelCase>> = {
  "sms-modem": {
    keys: () => ({ port: join(folder, "modem") }),
    to: () => "+1 555 0100",
    wrongTo: "555 0100",
    problem: 'expected an international number such as +1 555 0100, found "555 0100"',
    wrong: { port: "/dev/modem", speed: 10 },
    wrongProblem: "speed: expected at least 1200, found 10",
  },
  email: {
    keys: (port) => ({ host: "127.0.0.1", port, from: "basin@example.org", encrypted: false }),
    to: () => "ann@example.org",
    wrongTo: "ann",
    problem: 'expected an e-mail address such as owner@example.org, found "ann"',
    wrong: { host: "mail.example.org", from: "basin" },
    wrongProblem: 'from: expected an e-mail address, found "basin"',
  },
  "web-push": {
    keys: () => ({ email: "ann@example.org" }),
    to: () => "Ann",
    wrongTo: " ",
    problem: 'expected a name of up to 60 characters under which phones are taken up, such as Ann, found " "',
    wrong: { email: "ann" },
    wrongProblem: 'email: expected an e-mail address, found "ann"',
  },
  webhook: {
    keys: () => ({}),
    to: (port) => `http://127.0.0.1:${port}/alarms`,
    wrongTo: "example.org/alarms",
    problem: 'expected an address such as https://example.org/alarms, found "example.org/alarms"',
    wrong: { body: '{"m": {{txt}}}' },
    wrongProblem:
      "body: expected the fields key, subject, text, body, priority, link, found {{txt}}; did you mean {{text}}?",
  },
  annunciator: {
    keys: () => ({}),
    to: () => "no-such-chip/0",
    wrongTo: "horn",
    problem:
      'expected a GPIO line as its number, such as 529, or as chip/offset, such as pinctrl-board/17, found "horn"',
    wrong: { active_low: "yes" },
    wrongProblem: 'active_low: expected true or false, found "yes"',
  },
  mqtt: {
    keys: (port) => ({ url: `mqtt://127.0.0.1:${port}` }),
    to: () => "house/alarm",
    wrongTo: "house/#",
    problem: 'expected a topic without + and #, that neither begins with / or $ nor ends with /, found "house/#"',
    wrong: { url: "http://broker" },
    wrongProblem: expect.stringMatching(/^url: expected /),
  },
};

let folder: string;
let port: number;
const never = new AbortController().signal;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-channels-"));
  writeFileSync(join(folder, "secret"), "secret\n");
  port = await freePort();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("the list of channels", () => {
  it("has a case in this suite for each", () => {
    expect(channelKinds.map(({ kind }) => kind).toSorted()).toEqual(Object.keys(cases).toSorted());
  });
});

describe.each(channelKinds.map((kind) => ({ name: kind.kind, kind, at: cases[kind.kind] as ChannelCase })))(
  "channel $name",
  ({ kind, at }) => {
    const whole = (more: Record<string, unknown>) => ({ kind: kind.kind, name: "contract", ...more });
    const problems = (more: Record<string, unknown>) =>
      (kind.config.safeParse(whole(more), { error: explainIssue }).error?.issues ?? []).map(
        (issue) => `${issue.path.join(".")}: ${issue.message}`,
      );
    const open = async () =>
      kind.open(
        kind.config.parse(whole(at.keys(port))),
        listeningChannel(folder, { addresses: [at.to(port)] }).context,
      );

    it("takes a right address, and says in words what is wrong with another", () => {
      expect(kind.addressProblem(at.to(port))).toBeNull();
      expect(kind.addressProblem(at.wrongTo)).toBe(at.problem);
    });

    it("refuses a wrong value, an unknown key and a missing name", () => {
      expect(problems(at.wrong)).toEqual([at.wrongProblem]);
      expect(problems({ ...at.keys(port), colour: "blue" })).toEqual([expect.stringContaining("unknown key")]);
      expect(problems({ ...at.keys(port), name: undefined })).toEqual(["name: expected a text, found nothing"]);
    });

    it("describes each of its keys", () => {
      const { properties = {} } = kind.config.toJSONSchema({ unrepresentable: "any", io: "input" }) as {
        properties?: Record<string, { description?: string }>;
      };
      expect(Object.entries(properties).filter(([, { description }]) => !description)).toEqual([]);
    });

    it("never rejects: with nobody there it says so, in words, and may be tried again", async () => {
      const channel = await open();
      const outcome = await channel.send({ ...message, to: at.to(port) }, never);
      expect(outcome).toMatchObject({ is: "failed", again: true, reason: expect.stringMatching(/\w+ \w+/) });
      expect(channel.health().problem).toMatch(/\w+ \w+/);
      await channel.close();
    });

    it("sends nothing that was given up, and says so at once", async () => {
      const channel = await open();
      expect(await channel.send({ ...message, to: at.to(port) }, AbortSignal.abort())).toMatchObject({
        ...{ is: "failed", again: true },
      });
      await channel.close();
    });

    it("closes twice, and leaves nothing", async () => {
      const before = pending();
      const channel = await open();
      await channel.close();
      await channel.close();
      await until("no timer and no connection is left", () => pending() <= before);
    });
  },
);

/** Timers and connections of this process. */
function pending(): number {
  return process.getActiveResourcesInfo().filter((name) => name === "Timeout" || name.startsWith("TCP")).length;
}
