// The pages that explain the findings: one for each kind, in the same order, and every figure in them that of the code.

import { globSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { describe, expect, it } from "vitest";
import { deadAfterRuns } from "../../../analysis/cycles/by-signal/contact-in-runs.ts";
import { closeEnough_s } from "../../../analysis/cycles/by-signal/watched-signal.ts";
import { longestBob_s, longestBounce_s } from "../../../analysis/cycles/float-bobs.ts";
import { mostOfRate } from "../../../analysis/cycles/learn-from-run.ts";
import * as atStop from "../../../analysis/findings/at-stop.ts";
import { channelFaults } from "../../../analysis/findings/channel-fault.ts";
import * as leak from "../../../analysis/findings/check-valve-leak.ts";
import * as blocked from "../../../analysis/findings/discharge-blocked.ts";
import { type FindingKind, findingKinds } from "../../../analysis/findings/finding.ts";
import * as stuckOff from "../../../analysis/findings/float-stuck-off.ts";
import * as stuckOn from "../../../analysis/findings/float-stuck-on.ts";
import { highFloatStuckDown } from "../../../analysis/findings/high-float-fault.ts";
import * as high from "../../../analysis/findings/high-water.ts";
import { rules } from "../../../analysis/findings/index.ts";
import * as exceeds from "../../../analysis/findings/inflow-exceeds-pump.ts";
import * as keptDown from "../../../analysis/findings/kept-down.ts";
import { readingsThatTell } from "../../../analysis/findings/look-out.ts";
import { frost_c, partOpen, steady } from "../../../analysis/findings/loss-cause.ts";
import * as oneOff from "../../../analysis/findings/one-stuck-off.ts";
import { evenFor_s, long_s } from "../../../analysis/findings/over-start.ts";
import { powerLost } from "../../../analysis/findings/power-lost.ts";
import * as worn from "../../../analysis/findings/pump-worn.ts";
import {
  farOver_m,
  farOverFor_s,
  longRise_s,
  minuteNeeds_s,
  overStart_m,
  risesOn_s,
} from "../../../analysis/findings/run-watch.ts";
import { sensorFault } from "../../../analysis/findings/sensor-fault.ts";
import * as short from "../../../analysis/findings/short-cycling.ts";
import * as twoPumps from "../../../analysis/findings/two-pumps.ts";
import * as small from "../../../analysis/findings/undersized.ts";
import { mostOfPipe, unknownPipe_m3, unknownPipeOfRun } from "../../../analysis/inflow/drain-back/drain-back.ts";
import * as seldom from "../../../analysis/inflow/drain-back/seldom-return.ts";
import { closely_s } from "../../../analysis/inflow/drain-back/unseen-return.ts";
import { mostOfLift } from "../../../analysis/inflow/rest/fit-rest.ts";
import * as another from "../../../analysis/inflow/seldom-readings/another-pump.ts";
import { enoughCameIn } from "../../../analysis/inflow/seldom-readings/pump-by-cycles.ts";
import * as longer from "../../../analysis/pump-flow/longer-runs.ts";
import * as change from "../../../analysis/pump-flow/pump-change.ts";
import * as history from "../../../analysis/pump-flow/pump-history.ts";
import { closelyRead_s } from "../../../analysis/readings/closely-read.ts";
import { mostTurn_m, toldOutOfWaterAfter_s } from "../../../analysis/readings/level-problem.ts";
import { alone_m, outside_m } from "../../../analysis/readings/level-screen.ts";
import {
  atOnce_m,
  atOnce_s,
  bailed_s,
  beyondPumps_m,
  farUnder_m,
  runsOn_s,
} from "../../../analysis/readings/out-of-water.ts";
import { startMoves } from "../../../analysis/readings/returned-in-trips.ts";
import { timesLongest } from "../../../analysis/readings/slow-channel.ts";
import { clearStep } from "../../../analysis/readings/trend.ts";

const folder = join(import.meta.dirname, "../../../analysis/findings");
const headings = [
  "What it means",
  "Why it matters",
  "How it is decided",
  "What to check first",
  "What not to do alone",
];

function page(kind: string): string {
  return readFileSync(join(folder, `${kind}.md`), "utf8");
}

function section(kind: FindingKind, heading: string): string {
  return page(kind).split(`## ${heading}\n`)[1]?.split("\n## ")[0] ?? "";
}

const mm = (level_m: number) => `${Math.round(level_m * 1000)} mm`;
const litres = (volume_m3: number) => `${Number((volume_m3 * 1000).toFixed(2))} L`;
const percent = (share: number) => `${Math.round(share * 100)} %`;
const minutes = (time_s: number) => `${time_s / 60} minutes`;

/** What the section on how it is decided must say, from the constants of the code; and no other figure. */
const figures: Readonly<Record<FindingKind, readonly string[]>> = {
  "high-water": [
    `for ${high.highWater.onDelay_s} s`,
    `more than ${closelyRead_s} s apart and the latest five bend by more than ${mm(mostTurn_m)}`,
    `at ${high.levelReadings} readings`,
    `${mm(high.clearlyDown_m)} under`,
    `for ${high.highWater.offDelay_s} s`,
  ],
  "inflow-exceeds-pump": [
    `more than ${mm(exceeds.leastRise_m)} over the last minute`,
    `over the last ${longRise_s / 60} to 10 minutes of a longer run`,
    `is more than ${clearStep} times the noise`,
    "4 times the noise",
    `hold for ${exceeds.inflowExceedsPump.onDelay_s} s`,
    `more than ${mm(overStart_m)} over the level`,
    `more than ${minuteNeeds_s} s apart`,
    `more than ${mm(farOver_m)} over the level`,
    `for ${minutes(farOverFor_s)} or longer`,
    `more than ${mm(stuckOn.floatScatter_m)} under the level`,
    "3 times the sensor's noise",
    `for ${minutes(exceeds.inflowExceedsPump.offDelay_s)}`,
  ],
  undersized: [
    "over 10 minutes",
    "1.5 unless",
    `${percent(small.clearlyEnough - 1)} more`,
    `than to ${percent(small.vaguelyKnown)}`,
  ],
  "short-cycling": [
    `${short.shortRunsInARow} runs in a row`,
    `${short.manyChatters} of the latest 8 cycles`,
    `less than ${short.shortRun_s} s`,
    `less than ${short.shortRest_s} s`,
    `less than ${percent(short.partOfTheWay)} of the way`,
    `in less than ${short.partOfARun_s} s`,
    `or ${short.stillChatters} such, and ${short.someFlickers} switchings`,
    `more than ${short.manyFlickers} of those`,
    `more than ${percent(short.stillMany)} of the starts`,
    `${short.stillShort} of the last ${short.shortRunsInARow} runs`,
    `${short.stillChatters} cycles chatter or more than ${short.stillFlickers} switchings`,
    `more than ${percent(short.mostlyChatter)} of the latest`,
    `more than ${percent(short.muchReturned)} of what`,
    `(${short.soonEmpty_s} s where`,
    `travels less than ${mm(short.shortTravel_m)} between`,
    `factor of ${short.sureOfIt}`,
    `more than ${mm(stuckOff.offBy_m)} under \`stop_level\``,
    `closes again within ${longestBob_s} s counts`,
    `within ${longestBounce_s} s of the float's turning over`,
  ],
  "float-stuck-off": [
    `more than ${mm(stuckOff.margin_m)} above`,
    "4 times the sensor's noise",
    `for ${stuckOff.floatStuckOff.onDelay_s} s and at ${high.levelReadings} readings`,
    `more than ${closelyRead_s} s apart and the latest five bend by more than ${mm(mostTurn_m)}`,
    "not 0",
    `no more than ${mm(stuckOff.offBy_m)} over`,
    `${oneOff.runsWithout} runs in a row, all of the second alone, have begun more than ${mm(twoPumps.overOwnStart_m)} over`,
    `more than ${mm(twoPumps.overOwnStart_m)} over its \`start_level\`, or 4 times the noise, for ${oneOff.oneStuckOff.onDelay_s} s`,
    `in ${oneOff.turns} runs in a row the other ran alone, and at least ${oneOff.turnsWithout} of them`,
    `must be ${mm(stuckOff.unseenMargin_m)},`,
    `but ${mm(stuckOff.leastUnseen_m)} at least`,
    `for ${evenFor_s} s in which it rises evenly`,
    `twice on end for ${long_s} s or more`,
  ],
  "float-stuck-on": [
    `more than ${mm(stuckOn.floatScatter_m)} under`,
    "3 times the sensor's noise",
    `for ${stuckOn.dwell_s} s`,
    `latest eight runs were read to stop, where at least ${stuckOn.fewestRuns} were and it is no more than ${mm(stuckOff.offBy_m)} under`,
    `(${stuckOn.coarseDwell_s} s where`,
    `${stuckOn.slowApproach} times as long as it took over the last ${mm(atStop.wetAgain_m)}`,
    `hold for ${stuckOn.floatStuckOn.onDelay_s} s`,
    `${mm(atStop.wetAgain_m)} over`,
    `for ${stuckOn.floatStuckOn.offDelay_s} s`,
    `more than ${mm(keptDown.under_m)} (or ${keptDown.underDeviations} times`,
    `within ${keptDown.drawnWithin_s} s`,
    `less than ${percent(keptDown.hasRisen)} of what it rises`,
    `for ${keptDown.leastTime_s} s or more`,
    `risen by ${mm(keptDown.wouldRise_m)}`,
    `risen by ${mm(keptDown.risesAgain_m)}`,
  ],
  "check-valve-leak": [
    litres(leak.closingValve_m3),
    `${percent(leak.shareOfRun)} of what the run`,
    `${percent(leak.shareOfPipe)} of what the pipe`,
    litres(leak.leastLimit_m3),
    `More than ${mostOfPipe} times what the pipe`,
    `more than ${litres(unknownPipe_m3)}, or ${percent(unknownPipeOfRun)} of what the run lifted`,
    `nor more than ${percent(mostOfLift)} of what the run seems to have lifted`,
    `${leak.cycles - 1} of the last ${leak.cycles} stops`,
    `for 2 hours fewer than ${leak.stillLeaks}`,
    `of readings more than ${closely_s} s apart, the latest ${leak.showsNone} rests`,
    `more than ${percent(leak.fallingAway)} of what seems`,
    `farther apart than ${closelyRead_s} s, it must be ${leak.seldomRead} times`,
    `${leak.seenByMany} times where they are farther apart than ${leak.byMany_s} s`,
    `${seldom.fewestShow} of the latest ${seldom.remembered} stops`,
    `latest ${seldom.latest} rests must begin alike`,
  ],
  "discharge-blocked": [
    `best of the last ${history.latestRuns}`,
    `at least ${percent(blocked.farLess)} less`,
    `${percent(blocked.farLessByFew)} where a run usually holds fewer than ${readingsThatTell} readings`,
    `${percent(blocked.farLess)} by the middle of the last ${history.lastingRuns}`,
    `more than ${longer.longer} times as long`,
    `at least ${longer.fewest} runs`,
    `factor of ${change.clear}`,
    `more than ${percent(blocked.stillLess)} is missing`,
    `${another.fewest} readings or more`,
    `likelier by ${another.farLikelier} (`,
    `by ${another.inLittle} where less than ${percent(enoughCameIn)} of what the pump then moves`,
    `by ${another.worseThanOfLate} where all follows worse`,
    `less than ${percent(another.little)} or more than ${percent(another.nearlyAll)} comes in`,
    `at least ${percent(change.ofTheTime)} of the time`,
    `from ${blocked.runWithoutFall_s} s into the run and for another ${blocked.dischargeBlocked.onDelay_s} s`,
    `moved less than ${percent(blocked.half)} of what`,
    `within ${blocked.dischargeBlocked.onDelay_s} s`,
    `moves less than ${percent(blocked.hardlyAny)} of what`,
    `but less than ${percent(blocked.half)}, it`,
    `gone on for ${blocked.storyOfARun_s} s`,
    `readings are more than ${closelyRead_s} s apart, only of a run that went on for ${blocked.longerThanAStorm_s / 60} min`,
    `more than ${mm(blocked.belowStop_m)} below the stop level`,
    `for ${minutes(risesOn_s)}, is more than ${mm(blocked.clearlyPast_m)} over it`,
    `by ${100 * blocked.asAtRest[0]} to ${100 * blocked.asAtRest[1]} % of what came in`,
    `with ${percent(blocked.nearlyAll)} or more`,
    `more than ${percent(blocked.nearlyAll)} of what is usual`,
    `more than ${percent(blocked.stormAfterAll)} of what the pump`,
    `the latest take ${change.farLonger} times as long`,
    `${change.severalLate} of the last ${history.remembersStarts} runs moved little for ${history.lateFrom_s} s`,
    `${frost_c} °C or less`,
    `${percent(partOpen)} or more is left`,
    `agree to ${percent(steady)}`,
    `less than ${percent(blocked.farLess)} is no`,
  ],
  "pump-worn": [
    `last ${history.usualRuns} runs`,
    `at least ${percent(worn.clearlyLess)} below that of the best ${history.usualRuns}`,
    `factor of ${change.clear}`,
    `allowance of ${percent(history.allowance)}`,
    `interval of ${history.decisionInterval} standard deviations`,
    `at least ${percent(change.ofTheTime)} of the time`,
    `less than ${percent(worn.stillLess)} is missing`,
    `while less than ${percent(1 - mostOfRate)} of what it usually moves comes in`,
    `${percent(blocked.farLess)} or more below`,
    `last ${worn.latestSwings} cycles, has shrunk by more than ${percent(worn.ofTheLoss)} of`,
    `${frost_c} °C or less`,
    `${change.severalLate} of the last ${history.remembersStarts} runs`,
  ],
  "power-lost": ["`mains_on` is 0", "has been 1", `for ${powerLost.offDelay_s} s`],
  "sensor-fault": [
    `for ${sensorFault.onDelay_s} s`,
    `after ${minutes(sensorFault.offDelay_s)}`,
    `for ${minutes(highFloatStuckDown.onDelay_s)}`,
    "50 mm above",
    `${mm(farUnder_m)} or more under`,
    `told after ${minutes(toldOutOfWaterAfter_s)}`,
    `for ${timesLongest} times as long`,
    `Levels more than ${closelyRead_s} s apart`,
    `as ${deadAfterRuns} runs make it`,
    `more than ${closeEnough_s} s apart`,
    `lies ${mm(alone_m)} beyond both its neighbours and ${mm(outside_m)} beyond where runs`,
    `by more than ${mm(atOnce_m)} from one to the next (within ${atOnce_s} s)`,
    `within ${atOnce_s} s or to less than ${mm(beyondPumps_m)} within ${bailed_s} s`,
    `unless the pump runs on for ${minutes(runsOn_s)}:`,
    `by less than ${percent(startMoves)} of it`,
  ],
};

describe("the pages of the findings", () => {
  it("are one for each kind, and an index", () => {
    const pages = globSync("*.md", { cwd: folder }).map((path) => basename(path, ".md"));
    expect(pages.sort()).toEqual(["README", ...findingKinds].sort());
  });

  it.each(findingKinds)("%s: has the five headings, each with text, in their order", (kind) => {
    const text = page(kind);
    expect(text).toMatch(/^# [A-Z][^\n]+\n\n## /);
    expect([...text.matchAll(/^## (.+)$/gm)].map(([, heading]) => heading)).toEqual(headings);
    for (const heading of headings) expect(section(kind, heading).trim().length).toBeGreaterThan(60);
  });

  it.each(findingKinds)("%s: says how it is decided in the very figures of the rule, and in no others", (kind) => {
    const text = section(kind, "How it is decided");
    expect(figures[kind].filter((words) => !text.includes(words))).toEqual([]);
    const known = new Set(figures[kind].flatMap(numbers));
    expect(numbers(text).filter((number) => !known.has(number))).toEqual([]);
  });

  it.each(findingKinds)("%s: warns of what can hurt, and leaves to the licensed what is theirs", (kind) => {
    expect(section(kind, "What not to do alone")).toMatch(/licensed|plugged in|electrician|unplug/i);
  });

  it("leave no pump unplugged in what they advise: nobody would be pumping", () => {
    const advice = globSync(join(folder, "*.ts")).flatMap(
      (path) => readFileSync(path, "utf8").match(/"[^"\n]*\bunplug[^"\n]*"/gi) ?? [],
    );
    expect(advice.length).toBeGreaterThan(8);
    expect(advice.filter((text) => !/\bunplug.*\bplug (it|the pump) in again/i.test(text))).toEqual([]);
  });

  it("say the delays in words where they are whole minutes", () => {
    expect(section("float-stuck-off", "How it is decided")).toContain("for a minute");
    expect(stuckOff.floatStuckOff.offDelay_s).toBe(60);
    expect(section("short-cycling", "How it is decided")).toContain("for an hour after");
    expect(short.shortCycling.offDelay_s).toBe(3600);
    expect(section("discharge-blocked", "How it is decided")).toContain("within half an hour and by the next run");
    expect(blocked.atOnce_s).toBe(1800);
    expect(section("check-valve-leak", "How it is decided")).toContain("for 2 hours");
    expect(leak.checkValveLeak.offDelay_s).toBe(7200);
    expect(section("undersized", "How it is decided")).toContain("for an hour");
    expect(small.undersized.offDelay_s).toBe(3600);
    expect(section("sensor-fault", "How it is decided")).toContain("for a minute");
    expect(new Set(channelFaults.map(({ onDelay_s }) => onDelay_s))).toEqual(new Set([60]));
  });

  it("are named in the index with the urgency of their rules", () => {
    const rows = page("README").split("\n");
    const urgency = { critical: "see to it now", warning: "see to it soon", info: "good to know" } as const;
    for (const { kind, severity } of rules) {
      const row = rows.find((line) => line.startsWith(`| [\`${kind}\`](${kind}.md)`));
      expect(row, kind).toContain(urgency[severity]);
    }
  });
});

function numbers(text: string): string[] {
  return [...text.matchAll(/\d+(?:\.\d+)?/g)].map(([number]) => number);
}
