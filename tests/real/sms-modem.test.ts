// Text messages through a modem on a pseudo-terminal (socat), by serialport: what goes out, what comes in, and what a modem
// does wrong.

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openSmsModem, smsModem } from "../../daemon/alarms/channels/sms-modem.ts";
import { type Heard, listeningChannel, message } from "../daemon/alarms/channels/listening-channel.ts";
import { type EmulatedModem, emulateModem, type Traits } from "./modem/emulated-modem.ts";
import { deliverPdu, reportPdu, straight } from "./modem/pdu-by-hand.ts";
import { until } from "./until.ts";

type Channel = Awaited<ReturnType<typeof openSmsModem>>;

let folder: string;
let modem: EmulatedModem;
let channel: Channel;
let heard: Heard;
const never = new AbortController().signal;
const ann = "+15550100";

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-modem-"));
  sendWithin_ms = 10_000;
});
afterEach(async () => {
  await channel?.close();
  await modem?.unplug();
  rmSync(folder, { recursive: true, force: true });
});

async function open(traits: Partial<Traits> = {}, keys: Record<string, unknown> = {}): Promise<void> {
  modem = await emulateModem(join(folder, "modem"), traits);
  await openChannel(keys);
}

/** How long an answer to a message is waited for; tests of a silent modem make it short. */
let sendWithin_ms = 10_000;

async function openChannel(keys: Record<string, unknown> = {}): Promise<void> {
  const config = smsModem.config.parse({ kind: "sms-modem", name: "modem", port: join(folder, "modem"), ...keys });
  const listening = listeningChannel(folder);
  heard = listening.heard;
  channel = await openSmsModem(config, listening.context, { quiet_ms: 30, sendWithin_ms, again_ms: 10 });
}

const send = (text: string, signal = never) => channel.send({ ...message, to: "+1 555 0100", text }, signal);
const handedOver = { is: "handed-over" };
const collected = () =>
  until("its memories were read", () => modem.heard.filter((each) => /CMGL/.test(each)).length >= 3);

describe("a modem in order", () => {
  it("is set up, says its signal, and sends what fits in one message as one", async () => {
    await open();
    expect(channel.health()).toEqual({ problem: null, note: "signal 17 of 31" });
    expect(await send("High water, pump runs")).toEqual(handedOver);
    expect(modem.sent).toEqual([
      { to: ann, text: "High water, pump runs", coding: "gsm", wantsReport: true, part: null },
    ]);
  });

  it("sends a long text in parts of one reference, and other letters in UCS-2", async () => {
    await open();
    const long = "0123456789".repeat(31);
    await send(long);
    await send("Подвал: вода");
    const [first, second, third, other] = modem.sent;
    expect([first, second, third].map((each) => each?.text).join("")).toBe(long);
    expect([first, second, third].map((each) => each?.part)).toEqual([1, 2, 3].map((n) => [first?.part?.[0], 3, n]));
    expect(other).toMatchObject({ text: "Подвал: вода", coding: "ucs2", part: null });
  });

  it("does one message at a time, in order", async () => {
    await open({ slow_ms: (command) => (command === "payload" ? 20 : 0) });
    await Promise.all(["one", "two", "three"].map((text) => send(text)));
    expect(modem.sent.map(({ text }) => text)).toEqual(["one", "two", "three"]);
  });

  it("takes answers in one part and in several, in any order, straight and out of its memory", async () => {
    await open();
    await collected();
    modem.say(straight("+CMT: ,", deliverPdu(ann, "OK 17")));
    modem.say(straight("+CMT: ,", deliverPdu(ann, " dort", [7, 2, 2])));
    modem.say(straight("+CMT: ,", deliverPdu(ann, "OK, bin", [7, 2, 1])));
    await until("two answers", () => heard.replies.length === 2);
    modem.memory.get("ME")?.set(4, deliverPdu(ann, "OK 18"));
    modem.say('\r\n+CMTI: "ME",4\r\n');
    await until("a third", () => heard.replies.length === 3);
    expect(heard.replies).toEqual(["OK 17", "OK, bin dort", "OK 18"].map((text) => ({ from: ann, text })));
    await until("it is deleted there", () => modem.memory.get("ME")?.size === 0);
  });

  it("takes what came while nobody listened", async () => {
    modem = await emulateModem(join(folder, "modem"), { handsOver: false });
    modem.memory.get("SM")?.set(0, deliverPdu(ann, "OK"));
    await openChannel();
    await until("the answer", () => heard.replies.length === 1);
    expect(modem.heard).toContain("AT+CNMI=2,1,0,2,0");
  });

  it("tells what became of a message by the network's reports, straight or kept, once for all its parts", async () => {
    await open();
    await collected();
    await send("one");
    modem.say(straight("+CDS: ", reportPdu(21, ann, 0)));
    await until("the report", () => heard.receipts.length === 1);
    await send("x".repeat(200));
    modem.say(straight("+CDS: ", reportPdu(23, ann, 0)));
    modem.memory.get("SR")?.set(1, reportPdu(22, ann, 0));
    modem.say('\r\n+CDSI: "SR",1\r\n');
    await until("the report of both", () => heard.receipts.length === 2);
    await send("three");
    modem.say(straight("+CDS: ", reportPdu(24, ann, 48))); // still tried
    modem.say(straight("+CDS: ", reportPdu(24, ann, 64)));
    await until("the bad one", () => heard.receipts.length === 3);
    const { key } = message;
    expect(heard.receipts).toEqual([
      { key, delivered: true, reason: null },
      { key, delivered: true, reason: null },
      { key, delivered: false, reason: "the network gave up (status 64)" },
    ]);
  });

  it("asks for the credit and shows the answer, over two lines or in hexadecimal", async () => {
    await open({}, { credit_code: "*100#" });
    expect(modem.heard).toContain('AT+CUSD=1,"*100#",15');
    modem.say('\r\n+CUSD: 0,"Credit\r\n5.00 until May",15\r\n');
    await until("it is shown", () => channel.health().note === "signal 17 of 31; Credit 5.00 until May");
    modem.say('\r\n+CUSD: 0,"00430072006500640069007400200034",72\r\n');
    await until("the other", () => channel.health().note === "signal 17 of 31; Credit 4");
  });

  it("closes twice without a fault, and lets the port go", async () => {
    await open();
    await channel.close();
    await channel.close();
    await openChannel();
    expect(channel.health().problem).toBeNull();
  });
});

describe("a modem in text mode", () => {
  it("sends plainly, numbered where it is long, and takes answers, even one that looks like a result", async () => {
    await open({ textOnly: true }, { mode: "text" });
    await collected();
    await send("Level [high]");
    await send("y".repeat(200));
    expect(modem.texts.map(({ text }) => text)).toEqual([
      "Level (high)",
      `(1/2) ${"y".repeat(152)}`,
      `(2/2) ${"y".repeat(48)}`,
    ]);
    expect(modem.texts[0]?.to).toBe(ann);
    modem.say(`\r\n+CMT: "${ann}",,"26/03/04,06:10:00+00"\r\nOK\r\n`);
    await until("the answer", () => heard.replies.length === 1);
    modem.memory.get("SM")?.set(2, `+CMGL: ?,"REC UNREAD","${ann}",,"26/03/04,06:10:00+00"\nOK`);
    modem.say('\r\n+CMTI: "SM",2\r\n');
    await until("the other", () => heard.replies.length === 2);
    expect(heard.replies).toEqual([1, 2].map(() => ({ from: ann, text: "OK" })));
    modem.say(`\r\n+CDS: 6,21,"${ann}",145,"26/03/04,06:10:00+00","26/03/04,06:10:04+00",0\r\n`);
    await until("the report", () => heard.receipts.length === 1);
    expect(heard.log).toEqual([]);
  });
});

describe("a modem that makes trouble", () => {
  it("is understood through echo, noise and lines that nobody asked for", async () => {
    const pdu = deliverPdu(ann, "OK 3");
    await open({
      instead: (command) => (command === "ATE0" ? "\r\nOK\r\n" : null), // and echoes on
      before: (command) =>
        command === "AT+CSQ" ? `\r\n\u0000\u00ff~{{noise\r\n${straight("+CMT: ,", pdu)}\r\nRING\r\n` : "",
    });
    expect(heard.replies).toEqual([{ from: ann, text: "OK 3" }]);
    expect(channel.health()).toEqual({ problem: null, note: "signal 17 of 31" });
    modem.traits.before = (command) => (command === "payload" ? straight("+CMT: ,", pdu) : "\r\n+CREG: 2\r\n");
    expect(await send("through")).toEqual(handedOver);
    expect(heard.replies.length).toBe(2);
  });

  it("is given the text also where something else follows the prompt in the same breath", async () => {
    await open();
    modem.traits.after = (command) => (command.startsWith("AT+CMGS") ? "\r\nRING\r\n" : "");
    expect(await send("before a ring")).toEqual(handedOver);
  });

  it("is not misunderstood when the answer to one command comes during the next", async () => {
    sendWithin_ms = 1000;
    await open();
    modem.traits.silentOn = /payload/;
    expect(await send("lost")).toMatchObject({ is: "failed", again: true, mayHaveLeft: true });
    modem.traits.silentOn = null;
    let first = true;
    modem.traits.before = (command) => {
      if (!command.startsWith("AT+CMGS") || !first) return "";
      first = false;
      return "\r\n+CMGS: 99\r\n\r\nOK\r\n"; // of the message before
    };
    expect(await send("second")).toEqual(handedOver);
    modem.say(straight("+CDS: ", reportPdu(21, ann, 0)));
    await until("the report is that of the second", () => heard.receipts.length === 1);
  });

  it("has its memory emptied when it is full, and sends then", async () => {
    await open();
    await collected();
    modem.memory.get("SM")?.set(0, deliverPdu(ann, "old"));
    modem.traits.instead = (command) =>
      command === "payload" && (modem.memory.get("SM")?.size ?? 0) > 0 ? "\r\n+CMS ERROR: 322\r\n" : null;
    expect(await send("now")).toEqual(handedOver);
    expect(modem.sent).toHaveLength(1);
  });

  it("may start anew in the middle: it is said that the message may have left, and the next goes", async () => {
    await open();
    modem.traits.silentOn = /payload/;
    const lost = send("cut off");
    await until("it is given the text", () => modem.given.length > 0);
    modem.restart();
    expect(await lost).toEqual({
      ...{ is: "failed", reason: "the modem started anew in the middle; check its supply", again: true },
      mayHaveLeft: true,
    });
    modem.traits.silentOn = null;
    modem.restart();
    // Whether this restart is heard before, within or after the setting up is a matter of chance: then it is tried again.
    const outcomes = [await send("again")];
    while (outcomes.at(-1)?.is === "failed" && outcomes.length < 5) outcomes.push(await send("again"));
    expect(outcomes.at(-1)).toEqual(handedOver);
    for (const outcome of outcomes.slice(0, -1)) expect(outcome).toMatchObject({ again: true });
    expect(modem.sent.map(({ text }) => text)).toEqual(["again"]);
  });

  it("may be pulled out and put back", async () => {
    await open();
    modem.traits.silentOn = /payload/;
    const lost = send("cut off");
    await until("it is given the text", () => modem.given.length > 0);
    await modem.unplug();
    expect(await lost).toMatchObject({ is: "failed", again: true, mayHaveLeft: true });
    expect(await send("nothing there")).toMatchObject({ is: "failed", again: true });
    expect(channel.health().problem).toMatch(/no such device; plug the modem in, or correct port$/);
    modem = await emulateModem(join(folder, "modem"));
    expect(await send("back")).toEqual(handedOver);
    expect(channel.health().problem).toBeNull();
  });

  it("that says nothing at the prompt was given nothing, so that nothing can have left", async () => {
    sendWithin_ms = 200;
    await open();
    modem.traits.silentOn = /CMGS/;
    const outcome = await send("unheard");
    expect(outcome).toEqual({
      ...{ is: "failed", again: true },
      reason: "the modem does not answer; check the port and its speed, and its supply",
    });
  });

  it("sends nothing that was given up before its turn, or before the prompt", async () => {
    await open();
    expect(await send("x", AbortSignal.abort())).toMatchObject({ is: "failed", reason: "given up before it was sent" });
    const giveUp = new AbortController();
    modem.traits.slow_ms = (command) => (command.startsWith("AT+CMGS") ? 1000 : 0);
    const [first, queued] = [send("first", giveUp.signal), send("queued", giveUp.signal)];
    await until("it waits for the prompt", () => modem.heard.some((command) => command.startsWith("AT+CMGS")));
    giveUp.abort();
    for (const outcome of await Promise.all([first, queued]))
      expect(outcome).toEqual({ is: "failed", reason: "given up before it was sent", again: true });
    modem.traits.slow_ms = () => 0;
    expect(await send("third")).toEqual(handedOver);
    expect(modem.sent.map(({ text }) => text)).toEqual(["third"]);
  });
});

describe("a card and its network", () => {
  it("gives its PIN to a card that wants it, also after a new start", async () => {
    writeFileSync(join(folder, "pin"), "1234\n");
    await open({ pin: "1234" }, { pin_file: "pin" });
    expect(await send("one")).toEqual(handedOver);
    modem.restart();
    expect(await send("two")).toEqual(handedOver);
  });

  it("tries a wrong PIN once, never again, and never the last time", async () => {
    writeFileSync(join(folder, "pin"), "9999\n");
    await open({ pin: "1234" }, { pin_file: "pin" });
    for (let n = 0; n < 4; n++) expect(await send("x")).toMatchObject({ is: "failed" });
    expect(channel.health().problem).toMatch(/does not take the PIN in pin_file; correct it before/);
    expect(modem.traits.pinTries).toBe(2);
    await channel.close();
    await openChannel({ pin_file: "pin" });
    expect(modem.traits.pinTries).toBe(1);
    await channel.close();
    await openChannel({ pin_file: "pin" });
    expect(modem.traits.pinTries).toBe(1);
    expect(channel.health().problem).toMatch(/one try left for its PIN; unlock it in a telephone/);
  });

  it("says that the PIN is missing, and that a PUK is wanted", async () => {
    await open({ pin: "1234" });
    expect(channel.health().problem).toBe("the SIM card wants its PIN; give it in pin_file");
    modem.traits.pinTries = 0;
    expect(await send("x")).toMatchObject({ reason: "the SIM card says SIM PUK; unlock it in a telephone" });
  });

  it("waits for a card that is busy", async () => {
    let busy = 3;
    await open({ instead: (command) => (command === "AT+CPIN?" && busy-- > 0 ? "\r\n+CME ERROR: 14\r\n" : null) });
    expect(channel.health().problem).toBeNull();
  });

  it("says that there is no network, or a weak signal, and takes the newer network for one", async () => {
    await open({ registration: 2 });
    expect(channel.health().problem).toBe("no mobile network; check aerial and place");
    await channel.close();
    modem.traits.packetRegistration = 5;
    modem.traits.strength = 3;
    await openChannel();
    expect(channel.health()).toEqual({
      ...{ problem: "weak signal, 3 of 31; move the aerial", note: "signal 3 of 31" },
    });
  });

  it.each([
    ["+CMS ERROR: 1", "the network knows no such number; check it", false],
    ["+CMS ERROR: 38", "the network did not take it for now", true],
    ["+CMS ERROR: 331", "no mobile network; check aerial and place", true],
    ["+CMS ERROR: 500", "the modem says +CMS ERROR: 500", true],
  ])("explains %s", async (said, reason, again) => {
    await open({ instead: (command) => (command === "payload" ? `\r\n${said}\r\n` : null) });
    expect(await send("x")).toEqual({ is: "failed", reason, again });
  });
});
