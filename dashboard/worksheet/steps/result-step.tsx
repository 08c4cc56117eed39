// What comes of it: the verdict, what to ask a supplier for, the storm run again, what is still asked for, the report.

import { useSignal } from "@preact/signals";
import { type PaperWords, paperWords } from "../../../analysis/paper/words.ts";
import type { SizingFloats } from "../../../analysis/sizing/answer/basin.ts";
import type { SizingRequired } from "../../../analysis/sizing/answer/demand.ts";
import type { SizingPump } from "../../../analysis/sizing/answer/lift.ts";
import { headline } from "../../../analysis/sizing/headline.ts";
import { figures } from "../../../analysis/units/words.ts";
import { capital } from "../../capital.ts";
import { units } from "../../preferences.ts";
import { AskedFor } from "../asked-for.tsx";
import { PaperReport } from "../paper-report.tsx";
import { problems } from "../problem-words.ts";
import { PumpOnPipe } from "../pump-on-pipe.tsx";
import { answer, failure } from "../reckon.ts";
import { StormAgain } from "../storm-again.tsx";
import { VerdictBox } from "../verdict-box.tsx";

export function ResultStep() {
  const found = answer.value;
  const showsReport = useSignal(false);
  if (found === null)
    return (
      <Lines title="This does not go together" lines={[...problems.value, ...(failure.value ? [failure.value] : [])]} />
    );
  const words = paperWords(units.value);
  const { floats, freeboard, backup, ask_for: ask, head, required } = found;
  const later = [found.pump?.worn ?? null, found.pump?.clogged ?? null].filter((each) => each !== null);
  const hour = found.seen?.wettest_hour ?? null;
  const energy = found.pump && energyWords(found.pump);
  const worst = freeboard?.cases.find(({ when }) => when === "peak") ?? freeboard?.cases[0];
  return (
    <>
      <VerdictBox found={found} isStale={problems.value.length > 0} />
      {found.pump && <p>{found.pump.message}</p>}
      <Lines title="This does not go together" lines={[...problems.value, ...found.impossible]} />
      <div class="result-pair">
        <dl class="pairs pairs-noted">
          {required && <Pair name="Required flow" figure={words.flow(required.flow)} note={whyOf(required, words)} />}
          {hour && <Pair name="Highest hour of inflow, as logged" figure={words.lpm(hour.lpm)} note={hour.message} />}
          {head && (
            <Pair
              name="Total dynamic head at that flow"
              figure={words.head(head.total_m)}
              note={`lift ${words.head(head.static_m)}, pipe and fittings ${words.head(head.friction_m)}`}
            />
          )}
          {ask && (
            <Pair
              name={
                headline(found).soFarOnly ? "By what has been seen so far, ask a supplier for" : "Ask a supplier for"
              }
              figure={ask.words}
              note={ask.to_be_sure ? `to be sure: ${ask.to_be_sure.words}` : null}
            />
          )}
          {later.length > 0 && (
            <Pair
              name="Moved once the pump is worn, or the pipe clogged"
              figure={later.map(({ lpm }) => words.lpm(lpm)).join(", ")}
              note={later.map(({ message }) => `${capital(message)}.`).join(" ")}
            />
          )}
          {energy && <Pair name="Energy that the pump takes" figure={energy} />}
          {floats && <Pair name="Floats" figure={floatWords(floats, words)} note={floats.message} />}
          {worst?.from_start && (
            <Pair
              name="If the pump stops, water at the floor in"
              figure={words.time(worst.from_start.time)}
              note={`from the start level, with ${words.flow(worst.inflow)} coming in`}
            />
          )}
          {backup && (
            <Pair name="A standby pump must do" figure={backup.standby?.words ?? "not known"} note={backup.message} />
          )}
        </dl>
        <PumpOnPipe />
      </div>
      <AskedFor />
      <Asked />
      <StormAgain />
      {found.advice.length > 0 && (
        <>
          <h3>Worth having in this basin</h3>
          <ul class="told">
            {found.advice.map((line) => (
              <li key={line.advice}>
                <b>{line.advice}</b> {line.reason} <small class="quiet">({line.source})</small>
              </li>
            ))}
          </ul>
        </>
      )}
      <h3>The report</h3>
      <p class="where">
        One to three pages for the customer's file, with every sum line by line. Your browser prints it, or saves it as
        PDF.
      </p>
      <p class="row">
        <button type="button" class="strong" onClick={() => print()}>
          Print the report
        </button>
        <button
          type="button"
          aria-expanded={showsReport.value}
          onClick={() => (showsReport.value = !showsReport.value)}
        >
          {showsReport.value ? "Hide it here" : "Read it here"}
        </button>
      </p>
      <PaperReport shown={showsReport.value} />
    </>
  );
}

/** With whose the ± is: the storms that were not seen are not in it. */
function whyOf({ flow, governs, why }: SizingRequired, words: PaperWords): string {
  const ofPeak = governs === "allowance" && words.flow(flow).includes("±");
  return ofPeak ? `${why} The ± is of the measured peak, not of storms unseen.` : why;
}

/** Null where its power is not known, or nothing was logged. */
function energyWords({ energy_kwh_per_year: year, energy_wh_per_cycle: cycle }: SizingPump): string | null {
  if (year === null) return null;
  return `${figures(year)} kWh a year${cycle === null ? "" : `, ${figures(cycle)} Wh in a cycle`}`;
}

function floatWords({ set, active }: SizingFloats, words: PaperWords): string {
  if (set !== null) return `stop ${words.mm(set.stop_mm)}, start ${words.mm(set.start_mm)}`;
  return active === null ? "not known" : `${words.volume(active)} between stop and start`;
}

function Pair({ name, figure, note }: { name: string; figure: string; note?: string | null }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        <b>{figure}</b>
        {note && <small>{note}</small>}
      </dd>
    </div>
  );
}

function Lines({ title, lines }: { title: string; lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section class="tone-act seen" aria-label={title}>
      <h3>{title}</h3>
      <ul class="told">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

function Asked() {
  const missing = answer.value?.missing ?? [];
  if (missing.length === 0) return null;
  return (
    <section class="tone-unknown seen" aria-label="Still asked for">
      <h3>Still asked for</h3>
      <ul class="told">
        {missing.map(({ key, what, tells, where }) => (
          <li key={key}>
            <b>{capital(what)}</b>: {tells}. <span class="quiet">{capital(where)}.</span>
          </li>
        ))}
      </ul>
    </section>
  );
}
