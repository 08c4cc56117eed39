// How the alarms themselves do: the standard's figures, each with the mark that it is held to.

import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { performanceLines } from "../alarm-figures.ts";
import { alarmFiguresExplained } from "../explanations.ts";
import { Explained } from "./explanation.tsx";

export function AlarmPerformance({ answer }: { answer: AlarmsAnswer }) {
  return (
    <section class="alarm-performance" aria-labelledby="alarms-performance">
      <h2 id="alarms-performance">How the alarms do</h2>
      <p class="quiet">
        Over the last 30 days. An alarm that comes too often is not read any more: these marks, of ANSI/ISA-18.2, say
        what a person can follow.
      </p>
      <dl class="alarm-facts">
        {performanceLines(answer).map(({ label, value, mark }) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>
              <b>{value}</b>
              <span class="quiet">mark: {mark}</span>
            </dd>
          </div>
        ))}
      </dl>
      <Explained title="What these figures mean" fetchSections={alarmFiguresExplained} />
    </section>
  );
}
