// One finding that is not urgent, in a line; its card stands among the findings.

import type { Finding } from "../../analysis/findings/finding.ts";
import { severityWord, titleOf } from "../finding-words.ts";
import { roughDuration } from "../format.ts";
import { now_s } from "../live.ts";
import { SeverityMark } from "./severity-mark.tsx";

export function FindingLine({ finding }: { finding: Finding }) {
  const { severity, from_s } = finding;
  return (
    <p class="finding-line">
      <SeverityMark severity={severity} />
      <span>
        <a href="#findings">{titleOf(finding)}</a>{" "}
        <span class="quiet">
          {severityWord[severity].toLowerCase()} · for {roughDuration(now_s.value - from_s)}
        </span>
      </span>
    </p>
  );
}
