// The report as it is printed: in the page for print at all times, on the screen when it is asked for.

import "../../analysis/paper/sizing-report.css";
import { sizingReport } from "../../analysis/paper/sizing-report.ts";
import { now_s, site } from "../live.ts";
import { answer } from "./reckon.ts";
import { byHand, measured, tried } from "./state.ts";

export function PaperReport({ shown }: { shown: boolean }) {
  const [found, info, sheet] = [answer.value, site.value, tried.value];
  if (found === null || info === null || sheet === null) return null;
  const report = sizingReport({
    answer: found,
    site: sheet.site,
    inflow: byHand.value ? [] : (measured.value?.inflow ?? []),
    madeAt: new Date(now_s.peek() * 1000).toISOString(),
    version: info.version,
    invented: info.invented,
  });
  return (
    <div
      class={shown ? "paper-holder" : "paper-holder paper-unseen"}
      dangerouslySetInnerHTML={{ __html: report.text }}
    />
  );
}
