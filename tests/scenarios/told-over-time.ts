// A basin of the simulator's, the analysis, and the alarms of its house: who was told what, and when, by the water's clock.

import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import { type House, house, owner } from "../daemon/alarms/told-by-hand.ts";
import { epoch_s, play } from "../truth/play.ts";
import { randomOf } from "../truth/random.ts";
import { scenarios } from "../truth/scenarios/index.ts";

export interface Told {
  /** Seconds from the beginning, and what was said. */
  readonly messages: readonly { readonly at_s: number; readonly subject: string; readonly text: string }[];
  readonly findings: readonly Finding[];
  readonly days: number;
}

/** @param path of the outbox */
export async function toldOverTime(name: string, seed: number, path: string, mostDays = 400): Promise<Told> {
  const scenario = scenarios.find((each) => each.name === name);
  if (scenario === undefined) throw new RangeError(`no scenario is called ${name}`);
  const drawn = scenario.draw(randomOf(name, seed));
  const plan = { ...drawn, days: Math.min(drawn.days, mostDays) };
  const contact = { ...owner, mostAnHour: 60 };
  const at: House = house(
    path,
    { contacts: [contact], call: [{ contacts: [owner.name], after_s: 0 }] },
    epoch_s,
    plan.site,
  );
  const findings: Finding[] = [];
  let news = false;
  const analyzer = createAnalyzer(plan.site, {
    sink: {
      finding(finding, change) {
        news ||= change !== "updated";
        if (change === "began") findings.push(finding);
      },
    },
  });
  let seen_s = 0;
  for (const reading of play(plan, name, seed).readings) {
    const time_s = reading.time_s;
    if (at.clock.isDueBy(time_s)) await at.clock.turnTo(time_s);
    else at.clock.passTo(time_s);
    analyzer.push(reading);
    if (!news && time_s - seen_s < 30) continue;
    news = false;
    seen_s = time_s;
    const situation = analyzer.situation();
    const logged = at.log.length;
    at.service.see(situation);
    // Each change is logged; what it sets off is waited for.
    if (at.log.length > logged || at.clock.isDueBy(time_s)) await at.clock.turnTo(time_s);
  }
  await at.clock.turnTo(at.clock.now_s() + 7200);
  await at.close();
  return {
    messages: at.sent.map(({ at_s, subject, text }) => ({ at_s: at_s - epoch_s, subject, text })),
    findings,
    days: plan.days,
  };
}
