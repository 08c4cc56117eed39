// What a broker is told beside what happens: the site once, how the instruments do each minute, and the report so far.
// Whoever looks at many basins from one place reads it when a person opens this one.

import type { ReportSummary } from "../../analysis/report/report.ts";
import type { BasinHealth, LiveState, SiteInfo } from "../server/api-types.ts";
import type { MqttPublisher } from "./mqtt-publisher.ts";

export interface SeldomParts {
  readonly siteInfo: SiteInfo;
  state(): LiveState;
  summary(): ReportSummary;
  /** Steady time. */
  now_s(): number;
}

const healthEvery_s = 60;
const summaryEvery_s = 600;

/** @returns to be called now and then: says what is due */
export function saySeldom(publisher: Pick<MqttPublisher, "about">, parts: SeldomParts): () => void {
  let health_s = Number.NEGATIVE_INFINITY;
  let summary_s = Number.NEGATIVE_INFINITY;
  publisher.about("site", parts.siteInfo);
  return () => {
    const now_s = parts.now_s();
    if (now_s - health_s >= healthEvery_s) {
      health_s = now_s;
      publisher.about("health", healthOf(parts.state()));
    }
    if (now_s - summary_s >= summaryEvery_s) {
      summary_s = now_s;
      publisher.about("summary", parts.summary());
    }
  };
}

function healthOf({ sources, store, wallStep_s, span, forward = null }: LiveState): BasinHealth {
  return { sources, store, wallStep_s, span, ...(forward !== null && { forward }) };
}
