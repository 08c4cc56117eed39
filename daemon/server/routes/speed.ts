// PUT /api/speed: how fast a simulation or a recording is played. A real basin has no such control.

import * as z from "zod";
import type { SpeedRequest } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { BadRequest } from "../validate-request.ts";

export const speedBody = z.strictObject({
  speed: z.number().positive().describe("seconds of the basin's time that pass in one"),
});

export function addSpeedRoute(server: Server, parts: ServerParts): void {
  server.put("/api/speed", { schema: { body: speedBody } }, async ({ body }): Promise<SpeedRequest> => {
    const control = parts.speed();
    if (control === null) throw new BadRequest("speed: nothing is being played; a real basin keeps its own time", 409);
    if (body.speed > control.max) {
      throw new BadRequest(`speed: expected at most ${control.max}, found ${body.speed}`);
    }
    try {
      control.set(body.speed);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new BadRequest(`speed: ${error.message}`);
    }
    parts.feed.changed(true);
    return { speed: control.get() };
  });
}
