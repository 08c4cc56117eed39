// Loaded into a daemon before its program begins: it notes in a file when a message to a topic is handed to the system,
// by the machine's steady clock, which is one for all processes.

import { appendFileSync } from "node:fs";
import { Socket } from "node:net";

const { LEAVING_TOPIC: topic = "", LEAVING_FILE: file = "" } = process.env;
const socket = Socket.prototype as Socket & { _writev: (this: Socket, ...all: unknown[]) => void };
const hand = socket._writev;
if (topic !== "" && file !== "") {
  socket._writev = function (chunks, ...rest) {
    const now_ns = process.hrtime.bigint();
    hand.call(this, chunks, ...rest);
    const parts = chunks as ({ chunk: Buffer | string } | Buffer)[];
    const bytes = Buffer.concat(parts.map((part) => Buffer.from("chunk" in part ? part.chunk : part)));
    // What else names the topic, such as a subscription, is short.
    if (bytes.length > 300 && bytes.includes(topic)) appendFileSync(file, `${now_ns}\n`);
  };
}
