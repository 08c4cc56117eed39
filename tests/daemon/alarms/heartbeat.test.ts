import { createServer } from "node:http";
import { expect, it } from "vitest";
import { startHeartbeat } from "../../../daemon/alarms/heartbeat.ts";
import { until } from "../../real/until.ts";

it("says when it last got through, why it does not any more, and no path, which may be a secret", async () => {
  let status = 200;
  const server = createServer((_request, response) => response.writeHead(status).end());
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address() as { port: number };
  let beat = () => {};
  const heartbeat = startHeartbeat(
    { url: `http://127.0.0.1:${port}/secret-word`, every_s: 300 },
    {
      now_s: () => 1000,
      log() {},
      schedule(run) {
        beat = run;
        return () => {};
      },
    },
  );
  await until("the first beat", () => heartbeat.health().answered_s === 1000);
  expect(heartbeat.health()).toEqual({ host: `127.0.0.1:${port}`, every_s: 300, answered_s: 1000, problem: null });
  status = 404;
  beat();
  await until("the fault", () => heartbeat.health().problem !== null);
  expect(heartbeat.health()).toMatchObject({ answered_s: 1000, problem: "answers 404; check heartbeat.url" });
  heartbeat.close();
  server.close();
});
