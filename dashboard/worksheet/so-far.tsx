// What the sheet comes to so far, beside every step: the verdict, what does not go together, the pump against the pipe.

import { AskedFor } from "./asked-for.tsx";
import { problems } from "./problem-words.ts";
import { PumpOnPipe } from "./pump-on-pipe.tsx";
import { answer, failure } from "./reckon.ts";
import { isRefused } from "./refused.ts";
import { VerdictBox } from "./verdict-box.tsx";

export function SoFar() {
  const found = answer.value;
  const refused = [...problems.value, ...(failure.value ? [failure.value] : [])];
  const wrong = [...refused, ...(found?.impossible ?? [])];
  return (
    <aside class="so-far" aria-label="What it comes to so far">
      {wrong.map((line) => (
        <p key={line} class="fault" role="alert">
          {line}
        </p>
      ))}
      <VerdictBox found={found} isStale={found !== null && (isRefused.value || refused.length > 0)} />
      <AskedFor />
      <PumpOnPipe />
    </aside>
  );
}
