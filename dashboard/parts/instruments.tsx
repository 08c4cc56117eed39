// How the instruments are doing: each source, the store, the clock. A fault says what it is and what happens next.

import type { LiveState } from "../../daemon/server/api-types.ts";
import type { SourceHealth } from "../../daemon/sources/source.ts";
import type { StoreHealth } from "../../daemon/stores/store.ts";
import { duration, roughDuration } from "../format.ts";
import { site } from "../live.ts";
import { tellingStep_s } from "../notices.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

export function Instruments({ state }: { state: LiveState }) {
  return (
    <section class="instruments" aria-labelledby="instruments-title">
      <h2 id="instruments-title">Instruments</h2>
      <ul>
        {state.sources.map((source) => (
          <Source key={source.name} source={source} now_s={state.now_s} />
        ))}
        <StoreLine store={state.store} />
        {state.publisher && <PublisherLine error={state.publisher.error} />}
        {state.forward && <ForwardLine forward={state.forward} now_s={state.now_s} />}
        {Math.abs(state.wallStep_s) > tellingStep_s && <ClockLine step_s={state.wallStep_s} />}
      </ul>
    </section>
  );
}

const stateWord: Readonly<Record<SourceHealth["state"], string>> = {
  starting: "starting",
  running: "reading",
  "waiting-to-retry": "failed, will be tried again",
  finished: "has come to its end",
};

function Source({ source, now_s }: { source: SourceHealth; now_s: number }) {
  const failed = source.state === "waiting-to-retry";
  const tone = failed ? "watch" : source.state === "running" ? "calm" : "unknown";
  const retry_s = source.retryAt_s === null ? null : Math.max(0, source.retryAt_s - now_s);
  return (
    <li>
      <ToneMark tone={tone} />
      <div>
        <p>
          <b>{source.name}</b> <span class="quiet">{source.kind}</span> — {stateWord[source.state]}
          {failed && retry_s !== null && ` in ${roughDuration(retry_s)}`}
        </p>
        {source.error && <p class="fault">{source.error}</p>}
        <p class="quiet">
          {source.accepted.toLocaleString("en")} readings taken, {source.rejected.toLocaleString("en")} rejected
        </p>
        {source.lastRejection && <p class="quiet">Last rejected: {source.lastRejection}</p>}
      </div>
    </li>
  );
}

function StoreLine({ store }: { store: StoreHealth }) {
  const holding = store.state === "holding";
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <li>
      <ToneMark tone={holding || store.lost > 0 ? "watch" : "calm"} />
      <div>
        <p>
          <b>Store</b> — {holding ? "cannot write; readings wait in memory" : "writing"}
        </p>
        {holding && (
          <p class="fault">
            {store.held.toLocaleString("en")} readings held
            {store.since_s !== null && ` since ${time.dayAndClock(store.since_s)}`}
            {store.error && `: ${store.error}`}. They are written when this clears.
          </p>
        )}
        {store.lost > 0 && (
          <p class="fault">{store.lost.toLocaleString("en")} readings were given up: memory for them ran out.</p>
        )}
      </div>
    </li>
  );
}

function PublisherLine({ error }: { error: string | null }) {
  return (
    <li>
      <ToneMark tone={error ? "watch" : "calm"} />
      <div>
        <p>
          <b>Publishing</b> — {error ? "has failed" : "other systems are told"}
        </p>
        {error && <p class="fault">{error}</p>}
        {error && <p class="quiet">The basin is watched all the same; only what listens elsewhere hears nothing.</p>}
      </div>
    </li>
  );
}

type Forward = NonNullable<LiveState["forward"]>;

const forwardWord: Readonly<Record<Forward["state"], string>> = {
  current: "has all of the record",
  sending: "is being brought up to date",
  waiting: "is away, will be tried again",
  refused: "takes nothing from this board",
};

function ForwardLine({ forward, now_s }: { forward: Forward; now_s: number }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const { state, error, retryAt_s, waiting, oldest_s, lastSuccess_s, notes } = forward;
  const retry = retryAt_s === null ? "" : ` in ${roughDuration(Math.max(0, retryAt_s - now_s))}`;
  return (
    <li>
      <ToneMark tone={error || notes.length > 0 ? "watch" : "calm"} />
      <div>
        <p>
          <b>Shared database</b> <span class="quiet">{forward.basin}</span> — {forwardWord[state]}
          {error !== null && state === "waiting" && retry}
        </p>
        {error && <p class="fault">{error}</p>}
        {oldest_s !== null && (
          <p class="quiet">
            {waiting.toLocaleString("en")} readings wait on this board, from {time.dayAndClock(oldest_s)} on
            {lastSuccess_s !== null && `; last sent ${time.dayAndClock(lastSuccess_s)}`}
          </p>
        )}
        {notes.map((note) => (
          <p key={note} class="quiet">
            {note.replace(/^\w/, (first) => first.toUpperCase())}.
          </p>
        ))}
      </div>
    </li>
  );
}

function ClockLine({ step_s }: { step_s: number }) {
  return (
    <li>
      <ToneMark tone="note" />
      <div>
        <p>
          <b>Clock</b> — was set {step_s > 0 ? "forward" : "back"} by {duration(Math.abs(step_s))} while running
        </p>
        <p class="quiet">
          Times here keep the old count until the daemon starts anew, so that no cycle is lost or made.
        </p>
      </div>
    </li>
  );
}
