// A basin of the simulator's, the analysis, and the alarms of its house: who was told what, and when, by the water's clock.

import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { AlarmsConfig } from "../../daemon/alarms/alarms-config.ts";
import { watchOverItself } from "../../daemon/alarms/care/watch-over-itself.ts";
import { house, owner } from "../daemon/alarms/told-by-hand.ts";
import { turnedClock } from "../daemon/alarms/turned-clock.ts";
import type { Plan } from "../truth/plan.ts";
import { epoch_s, play } from "../truth/play.ts";
import { randomOf } from "../truth/random.ts";
import { scenarios } from "../truth/scenarios/index.ts";
import { rememberedRecord } from "./remembered-record.ts";

export interface Told {
  /** Seconds from the beginning, and what was said. */
  readonly messages: readonly { readonly at_s: number; readonly subject: string; readonly text: string }[];
  readonly findings: readonly Finding[];
  readonly days: number;
}

export interface Played {
  readonly plan: Plan;
  /** What chance is drawn from, beside the plan. */
  readonly words: readonly (string | number)[];
  /** A gauge; without it there is none. Times in seconds from the beginning. */
  rain_m?(from_s: number, to_s: number): number;
}

/** @param path of the outbox */
export async function toldOverTime(name: string, seed: number, path: string, mostDays = 400): Promise<Told> {
  const scenario = scenarios.find((each) => each.name === name);
  if (scenario === undefined) throw new RangeError(`no scenario is called ${name}`);
  const drawn = scenario.draw(randomOf(name, seed));
  return toldOf({ plan: { ...drawn, days: Math.min(drawn.days, mostDays) }, words: [name, seed] }, path);
}

export async function toldOf(
  { plan, words, rain_m }: Played,
  path: string,
  changes: Partial<AlarmsConfig> = {},
): Promise<Told> {
  const contact = { ...owner, mostAnHour: 60 };
  const config = { contacts: [contact], call: [{ contacts: [owner.name], after_s: 0 }], ...changes };
  const clock = turnedClock(epoch_s);
  const record = rememberedRecord();
  const self = watchOverItself({
    later: (work) => work(),
    config: { unusualPause_s: null, boardBattery: null, ...changes },
    store: record.store,
    sources: () => [],
    now_s: clock.now_s,
    recordEnd_s: null,
    serviceDue_s: () => null,
    battery: () => null,
  });
  const at = house(path, config, epoch_s, plan.site, clock, self.care);
  const findings = new Map<string, Finding>();
  let news = false;
  const analyzer = createAnalyzer(plan.site, {
    sink: {
      ...record.sink,
      finding(finding, change) {
        news ||= change !== "updated";
        findings.set(`${finding.kind} ${finding.from_s}`, finding);
      },
    },
  });
  let seen_s = 0;
  let last_s = epoch_s;
  for (const reading of play(plan, ...words).readings) {
    const time_s = reading.time_s;
    if (clock.isDueBy(time_s)) await clock.turnTo(time_s);
    else clock.passTo(time_s);
    analyzer.push(reading);
    if (rain_m !== undefined) self.rain(time_s, rain_m(last_s - epoch_s, time_s - epoch_s));
    last_s = time_s;
    if (!news && time_s - seen_s < 30) continue;
    news = false;
    seen_s = time_s;
    const situation = analyzer.situation();
    const logged = at.log.length;
    at.service.see(situation);
    // Each change is logged; what it sets off is waited for.
    if (at.log.length > logged || clock.isDueBy(time_s)) await clock.turnTo(time_s);
  }
  await clock.turnTo(clock.now_s() + 7200);
  await at.close();
  return {
    messages: at.sent.map(({ at_s, subject, text }) => ({ at_s: at_s - epoch_s, subject, text })),
    findings: [...findings.values()],
    days: plan.days,
  };
}
