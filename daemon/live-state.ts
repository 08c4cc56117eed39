// What is true now, put together from those who know: analysis, sources, store and clock.

import type { Clock } from "./clock.ts";
import type { Forwarder } from "./forward/forwarder.ts";
import type { MqttPublisher } from "./publishers/mqtt-publisher.ts";
import type { ActiveAlarm, AlarmAside, AlarmTrouble } from "./server/alarms-types.ts";
import type { LiveState } from "./server/api-types.ts";
import type { RunningSource } from "./sources/run-source.ts";
import type { OpenSource } from "./sources/source.ts";
import type { Store } from "./stores/store.ts";
import type { Watch } from "./watch.ts";

export interface LiveParts {
  readonly watch: Pick<Watch, "situation">;
  readonly sources: readonly Pick<RunningSource, "health" | "speed">[];
  readonly store: Pick<Store, "health" | "span">;
  readonly clock: Clock;
  /** Null when nothing is published. */
  readonly publisher: Pick<MqttPublisher, "error"> | null;
  /** Null when nothing is forwarded. */
  readonly forwarder?: Pick<Forwarder, "health"> | null;
  /** Null or absent where nobody is called. */
  readonly alarms?: AlarmsShown | null;
  /** A recording or a simulation is played: its time is what counts. */
  readonly playing: boolean;
}

interface AlarmsShown {
  active(): readonly ActiveAlarm[];
  aside(): readonly AlarmAside[];
  news(): number;
  trouble(): AlarmTrouble;
}

export function liveState(parts: LiveParts): LiveState {
  const { watch, sources, store, clock, publisher, forwarder, playing, alarms } = parts;
  const situation = watch.situation();
  const speed = playedSpeed(sources);
  return {
    situation,
    sources: sources.map((source) => source.health()),
    store: store.health(),
    now_s: (playing ? situation.time_s : null) ?? clock.now_s(),
    speed: speed?.get() ?? null,
    maxSpeed: speed?.max ?? null,
    span: store.span(),
    wallStep_s: clock.wallStep_s(),
    publisher: publisher && { error: publisher.error() },
    forward: forwarder?.health() ?? null,
    alarms: alarms?.active() ?? null,
    aside: alarms?.aside() ?? [],
    alarmNews: alarms?.news() ?? null,
    alarmTrouble: alarms?.trouble() ?? null,
  };
}

/** The control of the first source that has one; null for a real basin. */
export function playedSpeed(sources: LiveParts["sources"]): NonNullable<OpenSource["speed"]> | null {
  for (const source of sources) {
    const speed = source.speed();
    if (speed !== null) return speed;
  }
  return null;
}
