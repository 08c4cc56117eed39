// Opens a serial port, and says in words why it does not open.

import { EventEmitter } from "node:events";
import type { Duplex } from "node:stream";

export interface OpenSerialPort {
  readonly stream: Duplex;
  close(): void;
}

/** @throws {Error} saying what to change */
export async function openSerialPort(path: string, speed: number): Promise<OpenSerialPort> {
  const { SerialPort } = await import("serialport").catch((cause: unknown) => {
    throw new Error("the package serialport is not installed here; run npm install", { cause });
  });
  const serial = new SerialPort({ path, baudRate: speed, autoOpen: false });
  await new Promise<void>((done, fail) => {
    serial.open((error) => (error === null || error === undefined ? done() : fail(new Error(explain(path, error)))));
  });
  wakeOnEvents(serial.port);
  return {
    stream: serial,
    close() {
      if (serial.isOpen) serial.close(() => {}); // to destroy the stream would leave the device open, and locked
    },
  };
}

/**
 * From Node 26.4 on, what serialport's native part has heard waits until something else happens in the process
 * (serialport/bindings-cpp, pull request 239): so something does, at each of its events.
 */
function wakeOnEvents(port: unknown): void {
  const poller = typeof port === "object" && port !== null && "poller" in port ? port.poller : null;
  if (!(poller instanceof EventEmitter)) return;
  for (const event of ["readable", "writable", "disconnect"]) poller.on(event, () => setImmediate(() => {}));
}

function explain(path: string, { message }: Error): string {
  if (/no such file/i.test(message)) return `${path}: no such device; plug the modem in, or correct port`;
  if (/permission|access/i.test(message))
    return `${path}: this user may not open it; add the user to the group dialout`;
  if (/lock|busy/i.test(message)) return `${path}: another program has it; stop that, or correct port`;
  return `${path}: ${message}`;
}
