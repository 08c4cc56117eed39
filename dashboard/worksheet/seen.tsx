// How much of what the place can bring has been seen: the stopping rule, line by line.

import { capital } from "../capital.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { answer } from "./reckon.ts";
import { seenCriteria } from "./seen-criteria.ts";
import { rain } from "./state.ts";

/** When to stop logging: what is asked of a record, and what is there of it. */
export function Seen() {
  const found = answer.value?.seen ?? null;
  const criteria = seenCriteria.value;
  if (found === null) return null;
  return (
    <section class={found.enough ? "seen tone-calm" : "seen tone-watch"} aria-labelledby="seen-title">
      <h3 id="seen-title">How much of the truth has been seen</h3>
      <p>{found.message}</p>
      {rain.value === undefined && (
        <p role="status">The rain on record is still being read: this may change with it.</p>
      )}
      <ul class="criteria">
        {criteria.map(({ key, met, asked, found: there }) => (
          <li key={key}>
            <ToneMark tone={met ? "calm" : "unknown"} />
            <span>
              <span class="unseen">{met ? "Met: " : "Not met: "}</span>
              {capital(asked)}
              <small>so far: {there}</small>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
