// What keeps alarms from reaching people, in a line each, most serious first.

import type { AlarmTrouble } from "../../daemon/server/alarms-types.ts";
import { troubleLines } from "../call-words.ts";
import { ToneMark } from "./severity-mark.tsx";

export function AlarmTroubleLines({ trouble }: { trouble: AlarmTrouble }) {
  const lines = troubleLines(trouble);
  if (lines.length === 0) return null;
  return (
    <section class="alarm-trouble tone-watch" aria-labelledby="alarms-trouble">
      <h2 id="alarms-trouble">Somebody might not be told</h2>
      <ul>
        {lines.map((line) => (
          <li key={line} class="notice">
            <ToneMark tone="watch" />
            <span>{line}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}
