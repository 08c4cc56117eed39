// From a sensor's edge to the message leaving: the supply fails at the broker, and the alarm comes back from it, through
// source, analysis, book, outbox (on the card before it is tried) and channel. Told is the time beyond the configured delay
// until the message leaves the process, and until a receiver has it from the broker, which is a second way through the
// broker. Of the table's alarms of things that happen each has a delay of a minute or more; here it is some seconds in half
// of the houses. In the others it is none at all, which a site file may ask for: there it is also told from when the edge
// has come out of the daemon's socket, as it does out of a line of the board itself. Beside it in the same run: a bare
// message's way through the same broker to a client that does nothing else, and what this disk takes over one page after a
// pause, for which the message has to wait.
//
// As in a house, each daemon is a process of its own, whose level sensor speaks each second and which has done so for a
// while. An alarm then comes to a process that has been idle, whose caches have gone to others: everything takes two or
// three times as long as when it is done again and again, a bare message as well. So the one to compare with goes to a
// process that has been as idle. Beside it, for what it is worth, the same way once more at once.
//
//   npm run bench:alarms -- [--houses 8] [--rounds 3]

import { type ChildProcess, fork, spawn } from "node:child_process";
import { once } from "node:events";
import { closeSync, constants, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { parseArgs } from "node:util";
import { connectAsync } from "mqtt";
import { startMosquitto } from "../real/mosquitto.ts";

const { values } = parseArgs({
  options: { houses: { type: "string", default: "8" }, rounds: { type: "string", default: "3" } },
});
const rounds = Number(values.rounds);
/** What comes more often within an hour counts as chattering, and is told once. */
if (rounds < 2 || rounds > 3) throw new RangeError(`rounds: expected 2 or 3, found ${values.rounds}`);
/** In every second house. */
const delay_s = 3;
/** Before each message. */
const pause_ms = 300;
/** The finding is over after 30 s, so that the next edge is news. */
const between_s = 33;
/** Readings of a quarter of an hour, in quick succession. */
const lived = { readings: 900, every_ms: 40 };

const program = join(import.meta.dirname, "../../daemon/undercroft.js");
const noteLeaving = join(import.meta.dirname, "note-leaving.ts");
const broker = await startMosquitto();
const folder = mkdtempSync(join(tmpdir(), "alarm-path-"));
const client = await connectAsync(broker.url);
if ("setNoDelay" in client.stream && typeof client.stream.setNoDelay === "function") client.stream.setNoDelay(true);
const delayOf_s = (k: number) => (k % 2 === 0 ? delay_s : 0);
const names = Array.from({ length: Number(values.houses) }, (_, k) => `house${k}`);
const heard = new Map<string, (at_ns: bigint) => void>();
const hearer = fork(join(import.meta.dirname, "bare-client.ts"), [
  broker.url,
  ...names.flatMap((name) => [`${name}/bare`, `${name}/alarm`]),
]);
hearer.on("message", ({ topic, at_ns }: { topic: string; at_ns: string }) => heard.get(topic)?.(BigInt(at_ns)));
await once(hearer, "message");
const houses = await Promise.all(names.map(startHouse));
await live();

const delayed = { leaving_ms: [] as number[], first_ms: [] as number[], received_ms: [] as number[] };
const atOnce = { leaving_ms: [] as number[], first_ms: [] as number[], received_ms: [] as number[] };
const own = { leaving_ms: [] as number[], first_ms: [] as number[] };
const pages_ms: number[] = [];
const trips_ms: number[] = [];
const again_ms: number[] = [];
for (let round = 0; round < rounds; round++) {
  for (const house of houses) {
    const { name, leaving, wait_s } = house;
    const told = wait_s > 0 ? delayed : atOnce;
    await sleep(pause_ms);
    pages_ms.push(await onePage_ms());
    await sleep(pause_ms);
    trips_ms.push((await timed(`${name}/bare`, `${name}/bare`)).took_ms);
    again_ms.push((await timed(`${name}/bare`, `${name}/bare`)).took_ms);
    client.publish(`${name}/level`, "200", { qos: 1 });
    await sleep(pause_ms);
    const asInAHouse = setInterval(() => client.publish(`${name}/level`, "200", { qos: 1 }), 1010);
    const { sent_ns, took_ms } = await timed(`${name}/mains`, `${name}/alarm`);
    clearInterval(asInAHouse);
    told.received_ms.push(took_ms - wait_s * 1000);
    await sleep(500);
    const [came_ns, left_ns] = lastOf(leaving);
    const each = round === 0 ? "first_ms" : "leaving_ms";
    told[each].push(Number(left_ns - sent_ns) / 1e6 - wait_s * 1000);
    if (wait_s === 0) own[each].push(Number(left_ns - came_ns) / 1e6);
    await client.publishAsync(`${name}/mains`, "on", { qos: 1 });
  }
  if (round + 1 === rounds) break;
  for (let second = 0; second < between_s; second++) {
    await sleep(1000);
    for (const { name } of houses) client.publish(`${name}/level`, "200", { qos: 1 });
  }
  await sleep(2000);
}
const at = (all: number[], share: number) =>
  all.toSorted((a, b) => a - b)[Math.min(all.length - 1, Math.floor(share * all.length))] ?? Number.NaN;
const line = (name: string, all: number[]) =>
  `${name.padEnd(26)} median ${at(all, 0.5).toFixed(2)} ms, p99 ${at(all, 0.99).toFixed(2)} ms, of ${all.length}`;
const inWays = (name: string, all: number[]) =>
  `  ${line(name, all)}: ${(at(all, 0.5) / at(trips_ms, 0.5)).toFixed(2)} ways through the broker`;
console.log(line("one page onto the disk", pages_ms));
console.log(line("through the broker", trips_ms));
console.log(line("… once more at once", again_ms));
console.log(
  `edge to message leaving, beyond a delay of ${delay_s} s (target: at most 2.5 times a way; p99 under 100 ms)`,
);
console.log(inWays("leaving", delayed.leaving_ms));
console.log(inWays("the first of a process", delayed.first_ms));
console.log(inWays("received", delayed.received_ms));
console.log("with no delay at all");
console.log(inWays("leaving", atOnce.leaving_ms));
console.log(inWays("the first of a process", atOnce.first_ms));
console.log(inWays("received", atOnce.received_ms));
console.log(inWays("from the edge come", own.leaving_ms));
console.log(inWays("… the first of a process", own.first_ms));
await Promise.all(houses.map(({ daemon }) => end(daemon)));
hearer.disconnect();
await client.endAsync();
await broker.dispose();
rmSync(folder, { recursive: true });

/** @returns when it was sent, and how long until `back` was heard of */
async function timed(to: string, back: string): Promise<{ sent_ns: bigint; took_ms: number }> {
  const { promise, resolve } = Promise.withResolvers<bigint | null>();
  heard.set(back, resolve);
  const sent_ns = process.hrtime.bigint();
  client.publish(to, "off", { qos: 1 });
  const at_ns = await Promise.race([promise, sleep(10_000).then(() => null)]);
  heard.delete(back);
  if (at_ns === null) throw new Error(`${to}: nothing came back on ${back} in 10 s`);
  return { sent_ns, took_ms: Number(at_ns - sent_ns) / 1e6 };
}

/** What has run for a quarter of an hour is compiled as what has run for weeks. */
async function live(): Promise<void> {
  for (let i = 0; i < lived.readings; i++) {
    for (const { name } of houses) client.publish(`${name}/level`, String(200 + (i % 3)), { qos: 1 });
    await sleep(lived.every_ms);
  }
}

/** When the last edge came to a daemon, and when its message left. */
function lastOf(file: string): readonly [came_ns: bigint, left_ns: bigint] {
  const [came = 0, left = 0] = readFileSync(file, "utf8").trim().split("\n").at(-1)?.split(" ") ?? [];
  return [BigInt(came), BigInt(left)];
}

/** As the outbox writes: a page in place, in a file of full size, onto a disk that has been idle. */
async function onePage_ms(): Promise<number> {
  const page = Buffer.alloc(4096, 1);
  const file = openSync(join(folder, "page"), constants.O_RDWR | constants.O_CREAT | constants.O_DSYNC);
  writeSync(file, page, 0, page.length, 0);
  await sleep(pause_ms);
  const begun_ms = performance.now();
  writeSync(file, page, 0, page.length, 0);
  const took_ms = performance.now() - begun_ms;
  closeSync(file);
  return took_ms;
}

async function startHouse(name: string, k: number) {
  const wait_s = delayOf_s(k);
  const site = join(folder, `${name}.yaml`);
  writeFileSync(
    site,
    `
site: { name: ${name} }
basin: { shape: round, diameter: 45 cm, depth: 70 cm, start_level: 30 cm, stop_level: 15 cm, high_level: 45 cm }
sources:
  - kind: mqtt
    name: board
    url: "${broker.url}"
    channels: { mains_on: { topic: ${name}/mains }, level: { topic: ${name}/level, unit: mm } }
server: { port: 0 }
alarms:
  channels: [{ kind: mqtt, name: broker, url: "${broker.url}" }]
  contacts: [{ name: lamp, reach: [{ by: broker, to: ${name}/alarm }], most_an_hour: 60 }]
  change: { supply-lost: { priority: high, on_delay: ${wait_s} s, off_delay: 0 s } }
`,
  );
  const leaving = join(folder, `${name}.left`);
  const daemon = spawn(process.execPath, ["--import", noteLeaving, program, "run", "--site", site], {
    stdio: ["ignore", "pipe", "inherit"],
    env: { ...process.env, EDGE_TOPIC: `${name}/mains`, LEAVING_TOPIC: `${name}/alarm`, LEAVING_FILE: leaving },
  });
  daemon.stdout.resume();
  await once(daemon.stdout, "data");
  await sleep(3000); // until its channel has found the broker
  await client.publishAsync(`${name}/mains`, "on", { qos: 1 });
  return { name, daemon, leaving, wait_s };
}

async function end(daemon: ChildProcess): Promise<void> {
  daemon.kill("SIGTERM");
  await once(daemon, "exit");
}
