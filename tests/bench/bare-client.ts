// A client of a broker that does nothing but hear: it tells its parent when a message came, by the machine's steady clock,
// which is one for all processes. `bare-client.ts URL TOPIC…`

import { connectAsync } from "mqtt";

const [url = "", ...topics] = process.argv.slice(2);
const client = await connectAsync(url);
if ("setNoDelay" in client.stream && typeof client.stream.setNoDelay === "function") client.stream.setNoDelay(true);
client.on("message", (topic) => {
  const at_ns = process.hrtime.bigint();
  process.send?.({ topic, at_ns: String(at_ns) });
});
await client.subscribeAsync(topics, { qos: 1 });
process.send?.({ topic: "", at_ns: "0" });
process.on("disconnect", () => client.end());
