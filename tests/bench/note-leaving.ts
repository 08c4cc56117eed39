// Loaded into a daemon before its program begins: it notes in a file when a message on one topic came out of the socket,
// and when one to another was handed to the system, by the machine's steady clock, which is one for all processes.

import { appendFileSync } from "node:fs";
import { Socket } from "node:net";

const { EDGE_TOPIC: edge = "", LEAVING_TOPIC: leaving = "", LEAVING_FILE: file = "" } = process.env;
const socket = Socket.prototype as Socket & { _writev: (this: Socket, ...all: unknown[]) => void };
const { push: take, _writev: hand } = socket;
let came_ns = 0n;
if (file !== "") {
  socket.push = function (bytes, ...rest) {
    if (bytes instanceof Uint8Array && Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).includes(edge))
      came_ns = process.hrtime.bigint();
    return take.call(this, bytes, ...rest);
  };
  socket._writev = function (chunks, ...rest) {
    const left_ns = process.hrtime.bigint();
    hand.call(this, chunks, ...rest);
    const parts = chunks as ({ chunk: Buffer | string } | Buffer)[];
    const bytes = Buffer.concat(parts.map((part) => Buffer.from("chunk" in part ? part.chunk : part)));
    // What else names the topic, such as a subscription, is short.
    if (bytes.length > 300 && bytes.includes(leaving)) appendFileSync(file, `${came_ns} ${left_ns}\n`);
  };
}
