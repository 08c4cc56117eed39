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
  if (playing !== null) return "what is played is not true now, and nobody is called for it";
  return "this record is only looked at: its site file names neither sources to read nor contacts to call";
}
