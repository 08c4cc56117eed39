import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import {
  allStarts,
  newTally,
  noteByShare,
  noteCycle,
  noteGap,
  notePumped,
  noteReckonedHour,
  noteRunning,
  noteStart,
  pumped_m3,
  ranFor_s,
  startsInLastHour,
  uPumped_m3,
  uReturned_m3,
} from "../../../analysis/report/tally.ts";

function cycle(startedAt_s: number, run_s: number, drainBack_m3: number | null = null): Cycle {
  return {
    startedAt_s,
    stoppedAt_s: startedAt_s + run_s,
    run_s,
    rest_s: null,
    startLevel_m: null,
    stopLevel_m: null,
    inflow: null,
    pumpRate: null,
    drainBack_m3,
  };
}

function starts(times_s: readonly number[]) {
  const tally = newTally();
  for (const time_s of times_s) noteStart(tally, time_s);
  return tally;
}

describe("noteStart", () => {
  it("counts the most starts that any hour saw, not those of the hours of the clock", () => {
    // Six between half past and half past, three in either hour of the clock.
    const tally = starts([1800, 2400, 3000, 3700, 4300, 5000, 9000]);
    expect(tally.starts).toBe(7);
    expect(tally.mostStartsInAnHour).toBe(6);
  });

  it("counts a start that is exactly an hour old no more", () => {
    expect(starts([0, 3600]).mostStartsInAnHour).toBe(1);
    expect(starts([0, 3599]).mostStartsInAnHour).toBe(2);
  });

  it("counts right though starts become known late and others ask meanwhile", () => {
    const tally = starts([0, 1000]);
    expect(startsInLastHour(tally, 3700)).toBe(1);
    noteStart(tally, 3500); // read off the level, known 200 s later
    expect(tally.mostStartsInAnHour).toBe(3);
    expect(startsInLastHour(tally, 3700)).toBe(2);
  });

  it("keeps no more start times than an hour or two have", () => {
    expect(starts(Array.from({ length: 10_000 }, (_, i) => 600 * i)).startTimes_s.length).toBeLessThanOrEqual(13);
  });
});

describe("the most starts in an hour", () => {
  it("are those reckoned from the inflow once they are more than were seen, for sure", () => {
    const tally = newTally();
    for (let i = 0; i < 10; i += 1) noteStart(tally, 100 + 60 * i);
    noteReckonedHour(tally, { starts: 14.4, atLeast: 9.8, emptiesIn_s: 15 });
    expect(tally.mostStartsInAnHour).toBe(10);
    noteReckonedHour(tally, { starts: 14.4, atLeast: 10.2, emptiesIn_s: 15 });
    expect(tally.mostStartsInAnHour).toBe(14);
  });
});

describe("startsInLastHour", () => {
  it("falls to nothing while the pump rests", () => {
    const tally = starts([0, 600]);
    expect(startsInLastHour(tally, 700)).toBe(2);
    expect(startsInLastHour(tally, 3650)).toBe(1);
    expect(startsInLastHour(tally, 4200)).toBe(0);
  });
});

describe("noteCycle", () => {
  it("adds a run once, when it stops, and puts the settled cycle in the place of the provisional one", () => {
    const tally = newTally();
    noteCycle(tally, cycle(100, 20), "stopped");
    noteCycle(tally, cycle(300, 25), "stopped");
    noteCycle(tally, cycle(100, 20, 0.0004), "settled");
    expect(tally.run_s).toBe(45);
    expect(tally.recentCycles).toEqual([cycle(300, 25), cycle(100, 20, 0.0004)]);
  });

  it("keeps the eight newest, newest first", () => {
    const tally = newTally();
    for (let i = 0; i < 20; i++) noteCycle(tally, cycle(100 * i, 10), "stopped");
    expect(tally.recentCycles.map((one) => one.startedAt_s)).toEqual([1900, 1800, 1700, 1600, 1500, 1400, 1300, 1200]);
    noteCycle(tally, cycle(0, 10, 0.5), "settled");
    expect(tally.recentCycles.some((one) => one.drainBack_m3 === 0.5)).toBe(false);
  });
});

describe("notePumped", () => {
  it("adds what is known, with the length of the runs that it is known of", () => {
    const tally = newTally();
    notePumped(tally, cycle(0, 20), 0.03);
    notePumped(tally, cycle(100, 30), null);
    notePumped(tally, cycle(200, 10), 0.01);
    expect(tally.pumped_m3).toBeCloseTo(0.04, 12);
    expect(tally.measuredRun_s).toBe(30);
  });
});

describe("uPumped_m3", () => {
  it("adds in quadrature what the length of each run leaves unsure", () => {
    const tally = newTally();
    for (let i = 0; i < 4; i += 1) {
      const run = { ...cycle(100 * i, 20), pumpRate: null, inflow: null };
      noteCycle(tally, run, "stopped");
      notePumped(tally, run, 0.03, 0.002);
    }
    expect(uPumped_m3(tally)).toBeCloseTo(0.004, 12);
  });
});

describe("ranFor_s", () => {
  it("counts a run by its signal from its beginning on, whether it has ended or not", () => {
    const tally = newTally();
    for (const ran of [false, true, true, true]) noteRunning(tally, ran, 10);
    expect(ranFor_s(tally)).toBe(30);
    noteCycle(tally, cycle(100, 30), "stopped");
    expect(ranFor_s(tally)).toBe(30);
  });

  it("is the sum of the runs read off the level where no signal tells", () => {
    const tally = newTally();
    noteRunning(tally, null, 10);
    noteCycle(tally, cycle(100, 30), "stopped");
    expect(ranFor_s(tally)).toBe(30);
  });

  it("goes on from the runs read off the level when a signal comes to tell of those after them", () => {
    const tally = newTally();
    noteCycle(tally, cycle(100, 30), "stopped");
    noteRunning(tally, true, 10);
    expect(ranFor_s(tally)).toBe(40);
  });
});

describe("pumped_m3", () => {
  function pumped(run_s: number, measured_s: number, unfinished_s = 0) {
    const tally = Object.assign(newTally(), { pumpSeen: true });
    noteStart(tally, 0);
    noteRunning(tally, true, run_s + unfinished_s);
    noteCycle(tally, cycle(0, run_s), "stopped");
    notePumped(tally, cycle(0, measured_s), measured_s * 0.001);
    return pumped_m3(tally);
  }

  it("takes the runs whose volume is unknown at the mean of the others, if those are more than half", () => {
    expect(pumped(100, 51)).toBeCloseTo(0.1, 12);
    expect(pumped(100, 50)).toBeNull();
  });

  it("is unknown when more than a minute and a tenth of the finished runs has run on unmeasured", () => {
    expect(pumped(100, 100, 70)).toBeCloseTo(0.1, 12);
    expect(pumped(100, 100, 71)).toBeNull();
  });

  it("is known although a contact that is asked seldom saw the pump run for longer than it did, by chance", () => {
    // Forty runs of 20 s, of which seventeen were seen, each at one of the readings a minute apart.
    const seen = (seldom: boolean) => {
      const tally = Object.assign(newTally(), { pumpSeen: true });
      for (let i = 0; i < 17; i++) noteRunning(tally, true, 60, seldom);
      for (let i = 0; i < 40; i++) {
        noteStart(tally, 1000 * i);
        noteCycle(tally, cycle(1000 * i, 20), "stopped");
        notePumped(tally, cycle(1000 * i, 20), 0.02);
      }
      return pumped_m3(tally);
    };
    expect(seen(true)).toBeCloseTo(0.8, 12);
    expect(seen(false)).toBeNull();
  });

  it("is unknown where water stood at the rim and the level alone tells of the pump", () => {
    const atRim = (overRim_s: number) => {
      const tally = Object.assign(newTally(), { pumpSeen: true, overRim_s });
      noteStart(tally, 0);
      noteCycle(tally, cycle(0, 100), "stopped");
      notePumped(tally, cycle(0, 100), 0.1);
      return pumped_m3(tally);
    };
    expect(atRim(70)).toBeCloseTo(0.1, 12);
    expect(atRim(71)).toBeNull();
  });

  it("is unknown where both of two pumps ran and no volume is known of that: it is no mean of the runs of one", () => {
    const ofBoth = (both_s: number, run_s: number) => {
      const tally = Object.assign(newTally(), { pumpSeen: true });
      const run: Cycle = { ...cycle(1000, run_s), pumps: { pump1_s: run_s, pump2_s: both_s, both_s, rateOf: null } };
      for (const each of [cycle(0, 400), run]) {
        noteStart(tally, each.startedAt_s);
        noteCycle(tally, each, "stopped");
        notePumped(tally, each, each === run ? null : 0.4);
      }
      return pumped_m3(tally);
    };
    expect(ofBoth(0, 200)).toBeCloseTo(0.6, 12);
    expect(ofBoth(10, 200)).toBeNull();
    expect(ofBoth(10, 100)).toBeCloseTo(0.5, 12);
  });

  it("is unknown by the level alone, or of two pumps, where a stretch was too long for what is known otherwise", () => {
    const unknownFor = (length_s: number, changes: Partial<ReturnType<typeof newTally>>) => {
      const tally = Object.assign(newTally(), { pumpSeen: true });
      noteStart(tally, 0);
      noteCycle(tally, cycle(0, 100), "stopped");
      notePumped(tally, cycle(0, 100), 0.1);
      noteByShare(tally, length_s, null);
      return pumped_m3(Object.assign(tally, changes));
    };
    expect(unknownFor(70, {})).toBeCloseTo(0.1, 12);
    expect(unknownFor(71, {})).toBeNull();
    expect(unknownFor(71, { signalRun_s: 100 })).toBeCloseTo(0.1, 12);
    const one = { starts: 1, startTimes_s: [0], mostStartsInAnHour: 1, run_s: 50, since_s: null };
    expect(unknownFor(71, { signalRun_s: 100, pumps: [one, one] })).toBeNull();
  });

  it("adds what the pump moved by the share of time, while readings were too far apart to follow its runs", () => {
    const tally = Object.assign(newTally(), { pumpSeen: true, blurredRun_s: 40 });
    noteStart(tally, 0);
    noteRunning(tally, true, 300);
    noteCycle(tally, cycle(0, 140), "stopped");
    notePumped(tally, cycle(0, 100), 0.1);
    noteByShare(tally, 1000, { volume_m3: 0.21, uVolume_m3: 0.02, run_s: 200 });
    expect(pumped_m3(tally)).toBeCloseTo(0.31, 12);
    expect(uPumped_m3(tally)).toBeGreaterThanOrEqual(0.02);
  });

  it("takes runs without a volume as those that were reckoned, where these are most", () => {
    const tally = Object.assign(newTally(), { pumpSeen: true });
    noteByShare(tally, 1000, { volume_m3: 0.2, uVolume_m3: 0.02, run_s: 200 });
    expect(pumped_m3(tally)).toBeCloseTo(0.2, 12);
    expect(uPumped_m3(tally)).toBeCloseTo(0.02, 12);
    noteStart(tally, 0);
    noteCycle(tally, cycle(0, 50), "stopped");
    expect(pumped_m3(tally)).toBeCloseTo(0.25, 12);
    expect(ranFor_s(tally)).toBe(250);
  });

  it("is nothing for a pump that was seen and never started, and unknown where none was seen", () => {
    expect(pumped_m3(Object.assign(newTally(), { pumpSeen: true }))).toBe(0);
    expect(pumped_m3(newTally())).toBeNull();
  });
});

describe("allStarts", () => {
  const reckoned = (starts: number, uStarts: number) => {
    const tally = newTally();
    noteStart(tally, 0);
    for (let i = 1; i <= 5; i++) noteStart(tally, 100 * i, { blurred: true });
    const span = { from_s: 0, to_s: 1000, emptiesIn_s: 20 };
    noteByShare(tally, 1000, { volume_m3: 0.2, uVolume_m3: 0.02, run_s: 200 }, { ...span, starts, uStarts });
    return allStarts(tally);
  };

  it("counts what was reckoned in place of what was seen meanwhile, where that is surely more", () => {
    expect(reckoned(19.6, 2)).toBe(21);
    expect(reckoned(8, 2)).toBe(6);
  });

  it("counts what was seen where nothing was reckoned", () => {
    const tally = newTally();
    for (let i = 0; i < 3; i++) noteStart(tally, 100 * i, { blurred: true });
    noteByShare(tally, 1000, null);
    expect(allStarts(tally)).toBe(3);
  });
});

describe("noteGap", () => {
  it("keeps the newest five thousand and counts those it lets go, so that years of flicker fill no memory", () => {
    const tally = newTally();
    for (let i = 0; i < 5003; i++) noteGap(tally, { from_s: i, to_s: i + 0.5 });
    expect(tally.gaps).toHaveLength(5000);
    expect(tally.gaps[0]?.from_s).toBe(3);
    expect(tally.gapsLeftOut).toBe(3);
  });
});

describe("uReturned_m3", () => {
  const ranBack = (runs: number, drainBack_m3: number | null, volume_m3 = 0.02) => {
    const tally = newTally();
    for (let i = 0; i < runs; i++) {
      noteCycle(tally, cycle(1000 * i, 20), "stopped");
      notePumped(tally, cycle(1000 * i, 20, drainBack_m3), volume_m3);
    }
    return uReturned_m3(tally);
  };

  it("grows with every stop after which no reading shows what ran back: up to half a litre, as a rectangle from nothing", () => {
    // GUM 4.3.7: a rectangle of half-width a has a/√3; from 0 to 0.5 L about 0 the root of the mean square is the same
    expect(ranBack(1, null)).toBeCloseTo(0.0005 / Math.sqrt(3), 12);
    expect(ranBack(100, null)).toBeCloseTo(0.05 / Math.sqrt(3), 10);
    expect(ranBack(100, 0)).toBeCloseTo(0.05 / Math.sqrt(3), 10);
  });

  it("is no more than a twentieth of a small run, and nothing where the return was seen", () => {
    expect(ranBack(1, null, 0.004)).toBeCloseTo(0.0002 / Math.sqrt(3), 12);
    expect(ranBack(10, 0.0003)).toBe(0);
  });
});
