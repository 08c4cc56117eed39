import { Socket } from "node:net";
import { connectAsync, type MqttClient } from "mqtt";
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from "vitest";
import { mqtt } from "../../daemon/sources/mqtt.ts";
import { type RunningSource, runSource } from "../../daemon/sources/run-source.ts";
import type { SourceReading } from "../../daemon/sources/source.ts";
import { bareSite } from "../daemon/sources/listening-context.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

let broker: Mosquitto;
let device: MqttClient;
let source: RunningSource | undefined;

beforeAll(async () => {
  broker = await startMosquitto();
  device = await connectAsync(broker.url, { reconnectPeriod: 200 });
});
afterEach(async () => {
  await source?.close();
  source = undefined;
});
afterAll(async () => {
  await device.endAsync(true);
  await broker.dispose();
});

const level = { topic: "pit/level", unit: "mm" };

function listen(keys: Record<string, unknown> = {}): {
  readings: SourceReading[];
  log: string[];
  source: RunningSource;
} {
  const readings: SourceReading[] = [];
  const log: string[] = [];
  const config = mqtt.config.parse({ kind: "mqtt", name: "pit", url: broker.url, channels: { level }, ...keys });
  source = runSource(mqtt, config, {
    clock: { now_s: () => Date.now() / 1000 },
    site: bareSite,
    baseFolder: "/",
    onReading: (reading) => readings.push(reading),
    log: (line) => log.push(line),
  });
  return { readings, log, source };
}

async function running(what: RunningSource): Promise<void> {
  await until("the source runs", () => what.health().state === "running");
}

describe("mqtt source on a real broker", () => {
  it("makes readings of published levels, in order, with their time of arrival", async () => {
    const { readings, source } = listen();
    await running(source);
    const before_s = Date.now() / 1000;
    for (const mm of [150, 160.5, 171]) await device.publishAsync("pit/level", String(mm), { qos: 1 });
    await until("three readings", () => readings.length === 3);
    expect(readings.map((reading) => reading.level_m)).toEqual([0.15, 0.1605, 0.171]);
    for (const { time_s } of readings) expect(time_s).toBeGreaterThanOrEqual(before_s);
    expect(source.health()).toMatchObject({ accepted: 3, rejected: 0 });
  });

  it("counts messages that it cannot read, says the last, and goes on", async () => {
    const { readings, source } = listen();
    await running(source);
    for (const payload of ["abc", "", '{"mm":3}', "222"]) await device.publishAsync("pit/level", payload, { qos: 1 });
    await until("the good one", () => readings.length === 1);
    expect(readings[0]?.level_m).toBe(0.222);
    expect(source.health()).toMatchObject({
      state: "running",
      accepted: 1,
      rejected: 3,
      lastRejection: 'topic pit/level: expected a number in mm, found "{\\"mm\\":3}"',
    });
  });

  it("takes a switch that the broker kept, and not a level of unknown age", async () => {
    await device.publishAsync("kept/level", "500", { qos: 1, retain: true });
    await device.publishAsync("kept/mains", "on", { qos: 1, retain: true });
    const channels = { level: { ...level, topic: "kept/level" }, mains_on: { topic: "kept/mains" } };
    const { readings, source } = listen({ channels });
    await running(source);
    await device.publishAsync("kept/level", "510", { qos: 1, retain: true });
    await until("the fresh level", () => readings.some(({ level_m }) => level_m === 0.51));
    expect(readings.map(({ time_s, ...rest }) => rest)).toEqual([{ mainsOn: true }, { level_m: 0.51 }]);
  });

  it("comes back by itself after the broker was killed, and shows that it was away", async () => {
    const { readings, log, source } = listen();
    await running(source);
    await broker.kill();
    await until("the loss is shown", () => source.health().state === "waiting-to-retry");
    expect(source.health().error).toContain(`127.0.0.1:${broker.port}: `);
    await broker.start();
    await running(source);
    await until("the device is back", () => device.connected);
    await device.publishAsync("pit/level", "333", { qos: 1 });
    await until("a reading", () => readings.length === 1);
    expect(source.health()).toMatchObject({ state: "running", error: null, accepted: 1 });
    expect(log.at(-1)).toMatch(/^mqtt "pit": back after \d+ s$/);
  });

  it("waits for a broker that is not there yet", async () => {
    await broker.kill();
    const { source } = listen();
    await until("the refusal is shown", () => source.health().state === "waiting-to-retry");
    expect(source.health().error).toBe(
      `mqtt://127.0.0.1:${broker.port}: connection refused: nothing listens there; start the broker or change url`,
    );
    await broker.start();
    await running(source);
    await until("the device is back", () => device.connected);
  });

  it("says online and offline on its status topic, and the broker says offline when the source is gone", async () => {
    const said: string[] = [];
    const hear = (topic: string, payload: Buffer) => topic === "pit/status" && said.push(payload.toString());
    device.on("message", hear);
    await device.subscribeAsync("pit/status", { qos: 1 });
    const { source } = listen({ status_topic: "pit/status", client_id: "pit-source" });
    await until("online", () => said.at(-1) === "online");
    // A second client of the same name: the broker cuts the first one off, as it would a board that lost its power.
    const usurper = await connectAsync(broker.url, { clientId: "pit-source", reconnectPeriod: 0 });
    await until("offline, the last will", () => said.at(-1) === "offline");
    await usurper.endAsync();
    await until("online again", () => said.at(-1) === "online");
    await source.close();
    await until("offline, said by the source", () => said.at(-1) === "offline");
    device.off("message", hear);
    await device.unsubscribeAsync("pit/status");
    expect(said).toEqual(["online", "offline", "online", "offline"]);
  });

  it("sends at once, on the first connection and on every one after it", async () => {
    const setNoDelay = vi.spyOn(Socket.prototype, "setNoDelay"); // the client library itself never calls it
    const { source } = listen({ client_id: "pit-source" });
    await running(source);
    expect(setNoDelay.mock.calls).toEqual([[true]]);
    const usurper = await connectAsync(broker.url, { clientId: "pit-source", reconnectPeriod: 0 });
    await until("the loss is shown", () => source.health().state === "waiting-to-retry");
    await usurper.endAsync();
    await running(source);
    expect(setNoDelay.mock.calls).toEqual([[true], [true]]);
    setNoDelay.mockRestore();
  });
});
