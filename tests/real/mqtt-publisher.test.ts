import { connectAsync, type MqttClient } from "mqtt";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Acknowledgement } from "../../daemon/publishers/acknowledgement.ts";
import { type MqttPublisher, startMqttPublisher } from "../../daemon/publishers/mqtt-publisher.ts";
import type { Shelving } from "../../daemon/publishers/shelving.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

let broker: Mosquitto;
let publisher: MqttPublisher;
let listeners: MqttClient[] = [];

beforeAll(async () => {
  broker = await startMosquitto();
});
afterEach(async () => {
  await publisher.close();
  for (const listener of listeners) await listener.endAsync(true);
  listeners = [];
});
afterAll(() => broker.dispose());

const situation: Situation = {
  time_s: 1_772_604_600,
  level_m: 0.31,
  pumpRunning: false,
  pumpSince_s: 1_772_604_500,
  floatOn: false,
  highFloat: false,
  mainsOn: true,
  inflow: { flow_m3s: 7e-5, uFlow_m3s: 1e-6, degreesOfFreedom: 40 },
  pumpRate: null,
  levelRate_ms: 0.0004,
  startsInLastHour: 4,
  openFindings: [],
};

const cycle: Cycle = {
  startedAt_s: 1_772_604_480,
  stoppedAt_s: 1_772_604_500,
  run_s: 20,
  rest_s: 400,
  startLevel_m: 0.36,
  stopLevel_m: 0.15,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};

function finding(from_s: number, to_s: number | null): Finding {
  return {
    kind: "sensor-fault",
    severity: "warning",
    from_s,
    to_s,
    evidence: { channel: "level_m" },
    message: "See to it.",
  };
}

async function start(prefix: string): Promise<MqttPublisher> {
  const config = { url: broker.url, topic_prefix: prefix };
  publisher = await startMqttPublisher(config, { baseFolder: "/", now_s: () => 1_772_604_600, invented: true });
  await until("connected", () => publisher.error() === null);
  return publisher;
}

/** Someone who comes later: sees what the broker kept, then what follows. */
async function subscriber(prefix: string) {
  const client = await connectAsync(broker.url);
  listeners.push(client);
  const kept = new Map<string, string>();
  const said: [topic: string, payload: string][] = [];
  client.on("message", (topic, payload, { retain }) => {
    const name = topic.slice(prefix.length + 1);
    if (retain) kept.set(name, payload.toString());
    said.push([name, payload.toString()]);
  });
  await client.subscribeAsync(`${prefix}/#`, { qos: 1 });
  return { kept, said, last: (name: string) => said.findLast(([topic]) => topic === name)?.[1] };
}

describe("MQTT publisher on a real broker", () => {
  it("keeps status, state, cycle and findings for who comes later", async () => {
    const publisher = await start("house-a");
    publisher.state(situation);
    publisher.cycle(cycle);
    publisher.finding(finding(1_772_604_590, null));
    const first = await subscriber("house-a");
    await until("all four", () => first.said.length >= 4);
    const later = await subscriber("house-a");
    await until("all four", () => later.kept.size === 4);
    expect(later.kept.get("status")).toBe("online");
    expect(JSON.parse(later.kept.get("state") ?? "")).toEqual({
      ...situation,
      invented: true,
      run: expect.stringMatching(/^[0-9a-f]{8}$/),
      clock_s: 1_772_604_600,
    });
    expect(JSON.parse(later.kept.get("cycle") ?? "")).toEqual(cycle);
    expect(JSON.parse(later.kept.get("finding/sensor-fault") ?? "")).toEqual(finding(1_772_604_590, null));
  });

  it("publishes a state that changes often once a second, and the last one always", async () => {
    const publisher = await start("house-b");
    const { said, last } = await subscriber("house-b");
    const start_ms = performance.now();
    for (let n = 0; n < 60; n++) {
      publisher.state({ ...situation, level_m: 0.3 + n / 1000 });
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    publisher.state({ ...situation, level_m: 0.4 });
    await until("the last", () => JSON.parse(last("state") ?? "{}").level_m === 0.4);
    publisher.state({ ...situation, level_m: 0.4 });
    const states = said.filter(([topic]) => topic === "state").length;
    expect(states).toBeGreaterThanOrEqual(2);
    expect(states).toBeLessThanOrEqual(2 + (performance.now() - start_ms) / 1000);
  });

  it("goes back to the finding that lasts when another of its kind ends", async () => {
    const publisher = await start("house-c");
    publisher.finding(finding(100, null));
    publisher.finding(finding(200, null));
    publisher.finding(finding(200, 250));
    const { last } = await subscriber("house-c");
    await until("a finding", () => last("finding/sensor-fault") !== undefined);
    expect(JSON.parse(last("finding/sensor-fault") ?? "")).toMatchObject({ from_s: 100, to_s: null });
    publisher.finding(finding(100, 300));
    await until("its end", () => JSON.parse(last("finding/sensor-fault") ?? "").to_s === 300);
  });

  it("hears answers to alarms where the site file says so, takes them back, and says what is none", async () => {
    const heard: Acknowledgement[] = [];
    const log: string[] = [];
    const config = { url: broker.url, topic_prefix: "house-e", acknowledge: true };
    publisher = await startMqttPublisher(config, {
      ...{ baseFolder: "/", now_s: () => Date.now() / 1000, invented: true, log: (line: string) => log.push(line) },
      onAcknowledge: (acknowledgement) => heard.push(acknowledgement),
    });
    const { said } = await subscriber("house-e");
    const view = await connectAsync(broker.url);
    listeners.push(view);
    const answer = (alarm: string, text: string) =>
      view.publishAsync(`house-e/acknowledge/${alarm}`, text, { qos: 1, retain: true });
    await answer("high-water", '{"from_s": 12.5, "by": "Ann"}');
    await until("it is heard", () => heard.length === 1);
    expect(heard).toEqual([{ alarm: "high-water", from_s: 12.5, by: "Ann" }]);
    await answer("high-tide", "OK");
    const takenBack = () =>
      said.filter(([topic, payload]) => topic.startsWith("acknowledge/") && payload === "").length;
    await until("both are taken back", () => takenBack() === 2);
    expect(log).toEqual([
      "publish.mqtt: house-e/acknowledge/high-tide: expected an answer to an alarm, or its shelving, found something else",
    ]);
    expect(heard).toHaveLength(1);
  });

  it("hears what is to be shelved where the site file says that, too, and no answers where it does not", async () => {
    const shelved: Shelving[] = [];
    const heard: Acknowledgement[] = [];
    publisher = await startMqttPublisher(
      { url: broker.url, topic_prefix: "house-g", shelve: true },
      {
        ...{ baseFolder: "/", now_s: () => Date.now() / 1000, invented: true },
        onAcknowledge: (acknowledgement) => heard.push(acknowledgement),
        onShelve: (shelving) => shelved.push(shelving),
      },
    );
    const { said } = await subscriber("house-g");
    const view = await connectAsync(broker.url);
    listeners.push(view);
    const ask = (topic: string, text: string) => view.publishAsync(`house-g/${topic}`, text, { qos: 1, retain: true });
    await ask("acknowledge/high-water", '{"from_s": 12.5, "by": "Ann"}');
    await ask("shelve/high-water", '{"until_s": 99.5, "by": "Ann", "reason": "new pump"}');
    await until("it is heard", () => shelved.length === 1);
    expect(shelved).toEqual([{ alarm: "high-water", until_s: 99.5, by: "Ann", reason: "new pump" }]);
    await until("it is taken back", () =>
      said.some(([topic, payload]) => topic === "shelve/high-water" && payload === ""),
    );
    expect(heard).toEqual([]);
  });

  it("says all of it again to a broker that was killed and forgot", async () => {
    const publisher = await start("house-d");
    publisher.cycle(cycle);
    await broker.kill();
    await until("the loss is known", () => publisher.error() !== null);
    publisher.state({ ...situation, level_m: 0.5 });
    await broker.start();
    await until("connected again", () => publisher.error() === null);
    const { last } = await subscriber("house-d");
    await until("state and cycle", () => last("state") !== undefined && last("cycle") !== undefined);
    expect(JSON.parse(last("state") ?? "").level_m).toBe(0.5);
    expect(last("status")).toBe("online");
  });

  it("says what is about the basin once, and again when it has changed", async () => {
    const publisher = await start("house-f");
    const { said, last } = await subscriber("house-f");
    publisher.about("health", { sources: [] });
    publisher.about("health", { sources: [] });
    publisher.about("health", { sources: [], wallStep_s: 7 });
    await until("the last", () => last("health")?.includes("wallStep_s") === true);
    expect(said.filter(([topic]) => topic === "health")).toHaveLength(2);
  });

  it("says offline when it is closed", async () => {
    const publisher = await start("house-e");
    const { last } = await subscriber("house-e");
    await until("online", () => last("status") === "online");
    await publisher.close();
    await until("offline", () => last("status") === "offline");
  });
});
