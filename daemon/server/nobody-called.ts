// Why there are no alarms here, for whoever asks for them all the same.

import type { SiteInfo } from "./api-types.ts";
import { BadRequest } from "./validate-request.ts";

/** @param what was asked for: `alarms`, `phones` */
export function nobodyCalled(what: string, { playing, overview }: Pick<SiteInfo, "playing" | "overview">): BadRequest {
  return new BadRequest(`${what}: ${why(playing, overview)}`, 409);
}

function why(playing: SiteInfo["playing"], overview: string | undefined): string {
  if (overview !== undefined)
    return "whom this board calls, and for what, stands on its own page, not in the view from afar";
  if (playing === "simulated") return "this basin is simulated, and nobody is called for what is invented";
  if (playing === "replay") return "a recording is played, and nobody is called for what is over";
  return "this record is only looked at: its site file names neither sources to read nor contacts to call";
}
