// The least of an MQTT 3.1.1 broker that a source can live on: accepts everybody, grants every topic, and says one
// message after another on each of them. The real one has its tests in tests/real.

import { createServer, type Server, type Socket } from "node:net";

export interface SmallBroker {
  readonly url: string;
  close(): void;
}

/** @param payload what it says each time, from 0 on */
export async function startSmallBroker(topic: string, payload: (n: number) => string): Promise<SmallBroker> {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    let timer: NodeJS.Timeout | undefined;
    let n = 0;
    socket.on("error", () => {}); // a client that breaks off is no fault of the test's
    socket.on("close", () => clearInterval(timer));
    socket.on("data", (packet: Buffer) => {
      const type = (packet[0] ?? 0) >> 4;
      if (type === 1) socket.write(Uint8Array.of(0x20, 2, 0, 0)); // CONNECT: CONNACK, accepted
      if (type !== 8) return;
      socket.write(Uint8Array.of(0x90, 3, packet[2] ?? 0, packet[3] ?? 0, 0)); // SUBSCRIBE: SUBACK, one topic, QoS 0
      timer = setInterval(() => socket.write(publish(topic, payload(n++))), 5);
    });
  });
  const port = await listen(server);
  return {
    url: `mqtt://127.0.0.1:${port}`,
    close() {
      for (const socket of sockets) socket.destroy();
      server.close();
    },
  };
}

function publish(topic: string, payload: string): Uint8Array {
  const body = Buffer.concat([Uint8Array.of(0, topic.length), Buffer.from(topic + payload)]);
  return Buffer.concat([Uint8Array.of(0x30, body.length), body]); // QoS 0; a length of up to 127 takes one byte
}

function listen(server: Server): Promise<number> {
  return new Promise((resolve) => {
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      resolve(typeof address === "object" && address !== null ? address.port : 0);
    });
  });
}
