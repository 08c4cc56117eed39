// From a sensor's edge to the message leaving: the supply fails at the broker, and the alarm comes back from it, through
// source, analysis, book, outbox (on the card before it is tried) and channel. Delays are set to nothing, so that what is
// left is the program's own. Told are the time until the message leaves the process, and until a receiver has it from the
// broker, which is a second way through the broker. Beside it in the same run: a message's way through the same broker and
// back to this process, and what this disk takes over one page, for which the message has to wait.
//
// An alarm comes to a board that has been idle, whose caches have gone to others: everything then takes two or three
// times as long as when it is done again and again, a bare message as well. So each message begins after the same pause,
// and the one to compare with goes to a client that has been as idle as the board. Beside it, for what it is worth, the
// same way once more at once.
//
//   npm run bench:alarms -- [--houses 16] [--rounds 3]

import { closeSync, fdatasyncSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { parseArgs } from "node:util";
import { connectAsync, type MqttClient } from "mqtt";
import { parseSiteFile } from "../../daemon/config/parse-site-file.ts";
import { runDaemon } from "../../daemon/run-daemon.ts";
import { sourceKinds } from "../../daemon/sources/index.ts";
import { startMosquitto } from "../real/mosquitto.ts";

const { values } = parseArgs({
  options: { houses: { type: "string", default: "16" }, rounds: { type: "string", default: "3" } },
});
/** What comes more often within an hour counts as chattering, and is told once. */
if (Number(values.rounds) > 3) throw new RangeError(`rounds: expected at most 3, found ${values.rounds}`);
/** Before each message. */
const pause_ms = 300;
/** The finding is over after 30 s, so that the next edge is news. */
const between_s = 33;

const broker = await startMosquitto();
const folder = mkdtempSync(join(tmpdir(), "alarm-path-"));
const client = await connectWithoutDelay();
const heard = new Map<string, (at_ms: number) => void>();
const houses = await Promise.all(Array.from({ length: Number(values.houses) }, (_, k) => startHouse(k)));
client.on("message", noteHeard);
await client.subscribeAsync(
  houses.map(({ alarm }) => alarm),
  { qos: 1 },
);

const leftAt = noteLeaving();
const leavings_ms: number[] = [];
const paths_ms: number[] = [];
const pages_ms: number[] = [];
const trips_ms: number[] = [];
const again_ms: number[] = [];
for (let round = 0; round < Number(values.rounds); round++) {
  for (const house of houses) {
    await sleep(pause_ms);
    pages_ms.push(onePage_ms());
    await sleep(pause_ms);
    trips_ms.push(await timed(house.bare, house.bare));
    again_ms.push(await timed(house.bare, house.bare));
    await sleep(pause_ms);
    const sent_ms = performance.now();
    paths_ms.push(await timed(house.mains, house.alarm));
    leavings_ms.push((leftAt.get(house.alarm) ?? Number.NaN) - sent_ms);
    await sleep(500);
    await client.publishAsync(house.mains, "on", { qos: 1 });
  }
  if (round + 1 === Number(values.rounds)) break;
  await sleep(between_s * 1000);
  // Said again: it is by a reading that 30 s are seen to have passed.
  for (const house of houses) await client.publishAsync(house.mains, "on", { qos: 1 });
  await sleep(2000);
}
const at = (all: number[], share: number) =>
  all.toSorted((a, b) => a - b)[Math.min(all.length - 1, Math.floor(share * all.length))] ?? Number.NaN;
const line = (name: string, all: number[]) =>
  `${name.padEnd(26)} median ${at(all, 0.5).toFixed(2)} ms, p99 ${at(all, 0.99).toFixed(2)} ms, of ${all.length}`;
const toTrip = (all: number[]) => (at(all, 0.5) / at(trips_ms, 0.5)).toFixed(2);
console.log(line("one page onto the disk", pages_ms));
console.log(line("through the broker", trips_ms));
console.log(line("… once more at once", again_ms));
console.log(line("edge to message leaving", leavings_ms));
console.log(line("edge to message received", paths_ms));
console.log(`ratio of the medians        ${toTrip(leavings_ms)} leaving (target: at most 2.5; p99 under 100 ms)`);
console.log(`                            ${toTrip(paths_ms)} received`);
await Promise.all(houses.map(({ daemon }) => daemon.stop()));
await Promise.all([client, ...houses.map(({ bystander }) => bystander)].map((each) => each.endAsync()));
await broker.dispose();
rmSync(folder, { recursive: true });

/** @returns until `back` is heard of, in ms */
async function timed(to: string, back: string): Promise<number> {
  const { promise, resolve } = Promise.withResolvers<number>();
  heard.set(back, resolve);
  const sent_ms = performance.now();
  client.publish(to, "off", { qos: 1 });
  const at_ms = await Promise.race([promise, sleep(10_000).then(() => Number.NaN)]);
  heard.delete(back);
  if (Number.isNaN(at_ms)) throw new Error(`${to}: nothing came back on ${back} in 10 s`);
  return at_ms - sent_ms;
}

/** When a message to each topic was last handed to the system. */
function noteLeaving(): ReadonlyMap<string, number> {
  const left = new Map<string, number>();
  const topics = houses.map(({ alarm }) => alarm);
  const socket = Socket.prototype as Socket & { _writev: (this: Socket, ...all: unknown[]) => void };
  const hand = socket._writev;
  socket._writev = function (chunks, ...rest) {
    const now_ms = performance.now();
    const bytes = Buffer.concat((chunks as { chunk: Buffer | string }[]).map(({ chunk }) => Buffer.from(chunk)));
    // What else names the topic, such as a subscription, is short.
    for (const topic of topics) if (bytes.length > 300 && bytes.includes(topic)) left.set(topic, now_ms);
    hand.call(this, chunks, ...rest);
  };
  return left;
}

/** As the outbox writes: a page in place, in a file of full size. */
function onePage_ms(): number {
  const page = Buffer.alloc(4096, 1);
  const file = openSync(join(folder, "page"), "w+");
  writeSync(file, page, 0, page.length, 0);
  fdatasyncSync(file);
  const begun_ms = performance.now();
  writeSync(file, page, 0, page.length, 0);
  fdatasyncSync(file);
  const took_ms = performance.now() - begun_ms;
  closeSync(file);
  return took_ms;
}

function noteHeard(topic: string): void {
  heard.get(topic)?.(performance.now());
}

async function connectWithoutDelay(): Promise<MqttClient> {
  const made = await connectAsync(broker.url);
  if ("setNoDelay" in made.stream && typeof made.stream.setNoDelay === "function") made.stream.setNoDelay(true);
  return made;
}

async function startHouse(k: number) {
  const bare = `house${k}/bare`;
  const bystander = await connectWithoutDelay();
  bystander.on("message", noteHeard);
  await bystander.subscribeAsync(bare, { qos: 1 });
  const mains = `house${k}/mains`;
  const alarm = `house${k}/alarm`;
  const parsed = parseSiteFile(
    `
site: { name: House ${k} }
basin: { shape: round, diameter: 45 cm, depth: 70 cm, start_level: 30 cm, stop_level: 15 cm, high_level: 45 cm }
sources: [{ kind: mqtt, name: board, url: "${broker.url}", channels: { mains_on: { topic: ${mains} } } }]
server: { port: 0 }
store: { path: ${join(folder, `${k}.sqlite`)} }
alarms:
  channels: [{ kind: mqtt, name: broker, url: "${broker.url}" }]
  contacts: [{ name: lamp, reach: [{ by: broker, to: ${alarm} }], most_an_hour: 60 }]
  change: { supply-lost: { priority: high, on_delay: 0 s, off_delay: 0 s } }
`,
    join(folder, `${k}.yaml`),
    sourceKinds,
  );
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  const daemon = await runDaemon(parsed.siteFile, { log() {} });
  await sleep(3000); // until its channel has found the broker
  await client.publishAsync(mains, "on", { qos: 1 });
  return { mains, alarm, daemon, bare, bystander };
}
