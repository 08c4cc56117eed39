// Says that the page no longer hears the daemon, since when, and that it keeps trying.

import { live, lostSince_ms, now_s, site } from "../live.ts";
import { siteTime } from "../site-time.ts";

export function ConnectionBar() {
  const since_ms = lostSince_ms.value;
  if (since_ms === null) return null;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <p class="lost" role="alert">
      <strong>Connection lost since {time.clock(since_ms / 1000)}.</strong> Trying again.{" "}
      {live.value && `What you see is how it was at ${time.clock(now_s.value)}.`}
    </p>
  );
}
