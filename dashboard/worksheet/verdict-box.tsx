// The verdict with what it hangs on, the same beside every step: how much has been seen, and that the pump starts too often.

import { type PaperWords, paperWords } from "../../analysis/paper/words.ts";
import { headline, startsTooOften, stillToSee } from "../../analysis/sizing/headline.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { units } from "../preferences.ts";
import { standingTone } from "./verdict-words.ts";

const nothing = { pump: null, seen: null, measured: null, required: null };

/** @param isStale as before the last entry, which does not go */
export function VerdictBox({ found, isStale = false }: { found: SizingAnswer | null; isStale?: boolean }) {
  const { words, standing, soFarOnly } = headline(found ?? nothing);
  const tone = standingTone[standing];
  const say = paperWords(units.value);
  const tooOften = found && startsTooOften(found);
  const hedge = found === null || !soFarOnly ? null : hedgeOf(found);
  const moved = found?.pump?.moves ? movedWords(found.pump.moves.lpm, found.pump.moves_by, say) : null;
  return (
    <div class={isStale ? `sentence verdict-box tone-${tone} is-stale` : `sentence verdict-box tone-${tone}`}>
      <ToneMark tone={tone} />
      <div>
        {isStale && (
          <p>
            <b>As before the last entry:</b>
          </p>
        )}
        <p role="status">
          <b>{words}</b>
          {found?.required && ` · ${say.lpm(found.required.flow.lpm)} required`}
          {found?.head && ` at ${say.head(found.head.total_m, 1)}`}
          {found?.required && soFarOnly && ", by what has been seen so far"}
        </p>
        {moved && <p class="verdict-hedge">{moved}</p>}
        {hedge && <p class="verdict-hedge">{hedge}</p>}
        {tooOften && (
          <p class="verdict-more">
            <ToneMark tone="watch" />
            <span>{tooOften}</span>
          </p>
        )}
      </div>
    </div>
  );
}

/** The chart beside it is by the curve; what was measured outranks that. */
function movedWords(lpm: number, by: "measured" | "curve" | null, say: PaperWords): string {
  if (by !== "measured") return `It moves ${say.lpm(lpm)} by its curve.`;
  return `It moves ${say.lpm(lpm)}, as measured; that counts, whatever its curve says.`;
}

function hedgeOf({ seen, measured }: SizingAnswer): string | null {
  const missing = stillToSee({ seen });
  if (missing !== null || measured?.by !== "hand") return missing;
  return "A hand test shows the inflow of its own hour. Make it in the wettest weather there is.";
}
