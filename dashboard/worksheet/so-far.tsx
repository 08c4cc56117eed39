// What the sheet comes to so far, beside every step: the verdict, what does not go together, the pump against the pipe.

import { paperWords } from "../../analysis/paper/words.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { units } from "../preferences.ts";
import { AskedFor } from "./asked-for.tsx";
import { problems } from "./problem-words.ts";
import { PumpOnPipe } from "./pump-on-pipe.tsx";
import { answer, failure } from "./reckon.ts";
import { verdictTone, verdictWord } from "./verdict-words.ts";

export function SoFar() {
  const found = answer.value;
  const verdict = found?.pump?.verdict ?? "not-enough-data";
  const words = paperWords(units.value);
  const wrong = [...problems.value, ...(found?.impossible ?? []), ...(failure.value ? [failure.value] : [])];
  return (
    <aside class="so-far" aria-label="What it comes to so far">
      <p class={`so-far-verdict tone-${verdictTone[verdict]}`} role="status">
        <ToneMark tone={verdictTone[verdict]} />
        <span>
          <b>{verdictWord[verdict]}</b>
          {found?.required && ` · ${words.lpm(found.required.flow.lpm)} required`}
          {found?.head && ` at ${words.head(found.head.total_m, 1)}`}
        </span>
      </p>
      {wrong.map((line) => (
        <p key={line} class="fault" role="alert">
          {line}
        </p>
      ))}
      <AskedFor />
      <PumpOnPipe />
    </aside>
  );
}
