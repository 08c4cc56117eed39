import { createServer } from "node:http";
import { expect, it } from "vitest";
import { startHeartbeat } from "../../../daemon/alarms/heartbeat.ts";
import { until } from "../../real/until.ts";

it("says when it last got through, why it does not any more, and no path, which may be a secret; stays away when nothing is watched", async () => {
  let status = 200;
  let asked = 0;
  let unwatched: string | null = null;
  const server = createServer((_request, response) => {
    asked++;
    response.writeHead(status).end();
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address() as { port: number };
  let beat = () => {};
  let next_s = 0;
  const heartbeat = startHeartbeat(
    { url: `http://127.0.0.1:${port}/secret-word`, every_s: 300 },
    {
      now_s: () => 1000,
      unwatched: () => unwatched,
      log() {},
      schedule(run, wait_s) {
        beat = run;
        next_s = wait_s;
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
  expect([asked, next_s]).toEqual([2, 60]);
  unwatched = "the alarms have not looked for 61 s; see the log";
  beat();
  await until("that it stays away", () => heartbeat.health().problem === unwatched);
  expect(asked).toBe(2);
  status = 200;
  unwatched = null;
  beat();
  await until("the way back", () => heartbeat.health().problem === null);
  expect([asked, next_s]).toEqual([3, 300]);
  heartbeat.close();
  server.close();
});
