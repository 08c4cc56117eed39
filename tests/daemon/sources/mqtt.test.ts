import { describe, expect, it } from "vitest";
import { explainIssue } from "../../../daemon/config/explain-issue.ts";
import { explainBrokerError } from "../../../daemon/sources/mqtt/explain-broker-error.ts";
import { mqtt } from "../../../daemon/sources/mqtt.ts";

const least = { kind: "mqtt", name: "pit", url: "mqtt://broker.local", channels: { pump_on: { topic: "pump" } } };

function problems(config: Record<string, unknown>): string[] {
  const { error } = mqtt.config.safeParse(config, { error: explainIssue });
  return (error?.issues ?? []).map(({ path, message }) => `${path.join(".")}: ${message}`);
}

describe("the keys of an mqtt source", () => {
  it("need a broker, and one topic", () => {
    expect(mqtt.config.parse(least)).toMatchObject({ clean_session: true, keepalive: 30 });
    expect(problems({ ...least, url: "broker.local", channels: {} })).toEqual([
      'url: expected a broker\'s address such as mqtt://broker.local:1883, found "broker.local"',
      "channels: expected at least one channel, found none",
    ]);
  });

  it("want the unit of a measurement, and know which units there are", () => {
    const channels = { level: { topic: "level" }, pump_power: { topic: "power", unit: "litres" } };
    expect(problems({ ...least, channels })).toEqual([
      "channels.level.unit: expected one of mm, cm, m, in, ft, found nothing",
      'channels.pump_power.unit: expected one of W, kW, hp, found "litres"',
    ]);
  });

  it("refuse wildcards and paths that are none", () => {
    expect(problems({ ...least, channels: { pump_on: { topic: "pit/#", path: "$..on" } } })).toEqual([
      'channels.pump_on.topic: expected one topic, without wildcards, found "pit/#"',
      'channels.pump_on.path: expected a path such as $.depth.mm, found "$..on"',
    ]);
  });

  it("want times in the messages when the broker is to keep them", () => {
    expect(problems({ ...least, clean_session: false })).toEqual([
      "client_id: expected an identifier of its own with clean_session: false, found nothing",
      "channels.pump_on.time: expected a path to the time with clean_session: false, found nothing",
    ]);
  });
});

describe("explainBrokerError", () => {
  it("says what to look at", () => {
    expect(explainBrokerError(Object.assign(new AggregateError([]), { code: "ECONNREFUSED" }))).toContain(
      "nothing listens there",
    );
    expect(explainBrokerError(Object.assign(new Error("Connection refused: Not authorized"), { code: 5 }))).toContain(
      "username and password",
    );
    expect(explainBrokerError(new Error("connack timeout"))).toBe("no answer; check the address and the network");
    expect(explainBrokerError(new Error("an odd fault"))).toBe("an odd fault");
    expect(explainBrokerError(Object.assign(new Error(""), { code: "EPROTO" }))).toBe("cannot connect (EPROTO)");
  });
});
