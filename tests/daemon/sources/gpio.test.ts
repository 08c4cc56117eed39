import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Direction, Edge, Options, ValueCallback } from "onoff";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { explainIssue } from "../../../daemon/config/explain-issue.ts";
import type { GpioDriver } from "../../../daemon/sources/gpio/take-line.ts";
import { type GpioHost, gpio, openGpio } from "../../../daemon/sources/gpio.ts";
import { listeningContext } from "./listening-context.ts";

/** The far side of the line, as the test sets it, and what the driver was asked. */
const wire = {
  level: 0 as 0 | 1,
  fault: null as Error | null,
  refusal: null as Error | null,
  noEdges: false,
  heldAs: null as Direction | null,
  directionFault: null as Error | null,
  watchFault: null as Error | null,
  /** So many attempts to release a line fail. */
  releaseFaults: 0,
  taken: [] as { number: number; edge: Edge | undefined; options: Options | undefined }[],
  released: 0,
  edge: (() => {}) as ValueCallback,
};

class FakeGpio implements InstanceType<GpioDriver> {
  private readonly inverted: boolean;
  constructor(number: number, _direction: Direction, edge?: Edge, options?: Options) {
    if (wire.refusal !== null) throw wire.refusal;
    if (wire.noEdges && edge !== undefined)
      throw fault("ENOENT", "ENOENT: no such file, open '/sys/class/gpio/gpio1/edge'");
    wire.taken.push({ number, edge, options });
    this.inverted = options?.activeLow ?? false;
  }
  readSync(): 0 | 1 {
    if (wire.fault !== null) throw wire.fault;
    return (wire.level === 1) !== this.inverted ? 1 : 0;
  }
  watch(callback: ValueCallback): void {
    if (wire.watchFault !== null) throw wire.watchFault;
    wire.edge = callback;
  }
  unexport(): void {
    if (wire.releaseFaults-- > 0) throw fault("ENOENT");
    wire.released++;
  }
  direction(): Direction {
    if (wire.directionFault !== null) throw wire.directionFault;
    return wire.heldAs ?? "in";
  }
  activeLow(): boolean {
    return this.inverted;
  }
}

function fault(code: string, message = code): Error {
  return Object.assign(new Error(message), { code });
}

let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-gpio-"));
  writeFileSync(join(folder, "export"), "");
  chip("gpiochip496", { label: "pit", base: 496, ngpio: 8 });
  chip("gpiochip512", { label: "soc", base: 512, ngpio: 54 });
  chip("gpiochip600", { label: "twin", base: 600, ngpio: 4 });
  chip("gpiochip604", { label: "twin", base: 604, ngpio: 4 });
});
beforeEach(() => {
  Object.assign(wire, { level: 0, fault: null, refusal: null, noEdges: false, heldAs: null, taken: [], released: 0 });
  Object.assign(wire, { directionFault: null, watchFault: null, releaseFaults: 0 });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function chip(name: string, files: Record<string, string | number>): void {
  mkdirSync(join(folder, name));
  for (const [file, content] of Object.entries(files)) writeFileSync(join(folder, name, file), `${content}\n`);
}

/** A board whose clock only the test turns. */
async function open(keys: Record<string, unknown> = {}, overrides: Partial<GpioHost> = {}) {
  const base = { kind: "gpio", name: "high float", channel: "high_float" };
  const config = gpio.config.parse({ ...base, ...("line" in keys ? {} : { chip: "pit", offset: 3 }), ...keys });
  let now_s = 1000;
  let timers: { at_s: number; run: () => void }[] = [];
  const { context, heard } = listeningContext({ now_s: () => now_s });
  const source = await openGpio(config, context, {
    folder,
    loadDriver: async () => FakeGpio,
    schedule(run, wait_s) {
      const timer = { at_s: now_s + wait_s, run };
      timers.push(timer);
      return () => {
        timers = timers.filter((other) => other !== timer);
      };
    },
    ...overrides,
  });
  /** Turns the clock on, timer by timer. */
  const pass = (seconds: number) => {
    const end_s = now_s + seconds;
    for (;;) {
      const next = timers.filter(({ at_s }) => at_s <= end_s).sort((a, b) => a.at_s - b.at_s)[0];
      if (next === undefined) break;
      timers = timers.filter((other) => other !== next);
      now_s = next.at_s;
      next.run();
    }
    now_s = end_s;
  };
  const set = (level: 0 | 1) => {
    wire.level = level;
    wire.edge(null, level);
  };
  return { source, heard, pass, set, timers: () => timers.length };
}

describe("gpio source", () => {
  it("finds the line by label and offset, and says at once what it reads", async () => {
    wire.level = 1;
    const { heard } = await open();
    expect(wire.taken).toEqual([{ number: 499, edge: "both", options: { activeLow: false } }]);
    expect(heard.readings).toEqual([{ time_s: 1000, highFloat: true }]);
  });

  it("takes the kernel's own number, and turns an active-low line round", async () => {
    const { heard } = await open({ line: 517, active_low: true, channel: "mains_on" });
    expect(wire.taken[0]?.number).toBe(517);
    expect(heard.readings).toEqual([{ time_s: 1000, mainsOn: true }]);
  });

  it("says a change once, when the line has stood still for the debounce", async () => {
    const { heard, pass, set } = await open({ debounce: "50 ms" });
    for (const level of [1, 0, 1, 0, 1] as const) {
      set(level);
      pass(0.01);
    }
    pass(0.039);
    expect(heard.readings).toHaveLength(1);
    pass(0.002);
    expect(heard.readings.slice(1)).toEqual([{ time_s: expect.closeTo(1000.09, 6), highFloat: true }]);
  });

  it("says nothing of a glitch that is over before the debounce", async () => {
    const { heard, pass, set } = await open();
    set(1);
    pass(0.005);
    set(0);
    pass(0.9);
    expect(heard.readings).toHaveLength(1);
  });

  it("takes a line that chatters without rest as it is after ten times the debounce", async () => {
    const { heard, pass, set } = await open({ debounce: "50 ms" });
    // Up for 30 ms, down for 10 ms: never still for 50 ms.
    for (let n = 0; n < 15; n++) {
      set(1);
      pass(0.03);
      set(0);
      pass(0.01);
    }
    expect(heard.readings[1]).toEqual({ time_s: expect.closeTo(1000.5, 6), highFloat: true });
  });

  it("says each edge at once without a debounce", async () => {
    const { heard, set } = await open({ debounce: "0 s" });
    set(1);
    set(0);
    expect(heard.readings.map(({ highFloat }) => highFloat)).toEqual([false, true, false]);
  });

  it("sees within 1.1 s a change of which the kernel said nothing", async () => {
    const { heard, pass } = await open();
    wire.level = 1;
    pass(1.1);
    expect(heard.readings.at(-1)?.highFloat).toBe(true);
  });

  it("repeats itself at least every 10 s", async () => {
    const { heard, pass } = await open();
    pass(60);
    const times_s = heard.readings.map(({ time_s }) => time_s);
    for (const [n, time_s] of times_s.slice(1).entries()) expect(time_s - (times_s[n] ?? 0)).toBeLessThanOrEqual(10);
    expect(times_s.length).toBe(7);
  });

  it("reads a line without edges on the timer alone", async () => {
    wire.noEdges = true;
    const { heard, pass } = await open();
    expect(wire.taken[0]?.edge).toBeUndefined();
    wire.level = 1;
    pass(1.1);
    expect(heard.readings.at(-1)?.highFloat).toBe(true);
  });

  it("fails when the chip goes away, after saying that nothing is known", async () => {
    const { heard, pass, timers } = await open();
    wire.fault = fault("ENODEV");
    pass(1);
    expect(heard.readings.at(-1)).toEqual({ time_s: 1001, highFloat: null });
    expect(heard.failures.map(({ message }) => message)).toEqual([
      'GPIO line 3 of chip "pit": gone (ENODEV); was the chip unplugged or its driver unloaded?',
    ]);
    expect(timers()).toBe(0);
  });

  it("releases the line when it is closed, and says nothing any more", async () => {
    const { source, heard, pass, set, timers } = await open();
    set(1);
    await source.close();
    expect([wire.released, timers()]).toEqual([1, 0]);
    set(0);
    pass(20);
    expect(heard.readings).toHaveLength(1);
  });
});

describe("what a gpio source says when it cannot have its line", () => {
  it("names the chips that there are", async () => {
    await expect(open({ chip: "basin" })).rejects.toThrow(
      'expected the label of a GPIO chip, found "basin"; chips here: "pit" (8 lines, numbers 496 to 503), "soc" (54 lines, numbers 512 to 565)',
    );
    await expect(open({ offset: 8 })).rejects.toThrow('chip "pit": expected an offset from 0 to 7, found 8');
    await expect(open({ chip: "twin" })).rejects.toThrow('2 GPIO chips are labelled "twin"; give line instead');
  });

  it.each([
    ["EINVAL", "Its numbers are not those printed on the board"],
    ["EINVAL", 'give chip and offset instead of line; chips here: "pit" (8 lines, numbers 496 to 503)'],
    ["EBUSY", 'GPIO line 17: held by another driver or program (EBUSY), which "gpioinfo" names'],
    ["EACCES", "not allowed (EACCES); the daemon's user needs write access to"],
    ["EIO", "GPIO line 17: EIO"],
  ])("explains %s", async (code, words) => {
    wire.refusal = fault(code);
    await expect(open({ line: 17 })).rejects.toThrow(words);
  });

  it("says that another program holds the line with settings of its own", async () => {
    wire.heldAs = "out";
    await expect(open()).rejects.toThrow("in use with settings of another program (out)");
    expect(wire.released).toBe(1);
  });

  it.each(["fault", "watchFault", "directionFault"] as const)("gives the line back after a %s", async (which) => {
    wire[which] = fault("EIO");
    await expect(open()).rejects.toThrow('GPIO line 3 of chip "pit": EIO');
    expect([wire.taken.length, wire.released]).toEqual([1, 1]);
  });

  it("gives back at a second attempt a line whose watch never was", async () => {
    Object.assign(wire, { watchFault: fault("EIO"), releaseFaults: 1 });
    await expect(open()).rejects.toThrow('GPIO line 3 of chip "pit": EIO');
    expect(wire.released).toBe(1);
  });

  it("says the first fault, not that the line cannot be given back either", async () => {
    Object.assign(wire, { fault: fault("ENODEV"), releaseFaults: 2 });
    await expect(open()).rejects.toThrow("gone (ENODEV)");
    expect(wire.released).toBe(0);
  });

  it("says that the kernel leaves the interface out", async () => {
    await expect(open({}, { folder: join(folder, "nowhere") })).rejects.toThrow(
      "this kernel leaves out the numbered GPIO interface (GPIO_SYSFS)",
    );
  });

  it.each([
    [fault("ERR_MODULE_NOT_FOUND"), "the package onoff is not installed"],
    [fault("ERR_DLOPEN_FAILED"), 'was built for another Node; run "npm run build:gpio"'],
    [new Error("Could not locate the bindings file. Tried: …"), 'was not built; run "npm run build:gpio"'],
    [new Error("something else"), "onoff does not load: something else"],
  ])("says what is the matter with the driver: %s", async (error, words) => {
    await expect(open({}, { loadDriver: () => Promise.reject(error) })).rejects.toThrow(words);
  });
});

describe("the keys of a gpio source", () => {
  const problems = (keys: Record<string, unknown>) => {
    const { error } = gpio.config.safeParse(
      { kind: "gpio", name: "float", channel: "float_on", ...keys },
      { error: explainIssue },
    );
    return (error?.issues ?? []).map(({ path, message }) => `${path.join(".")}: ${message}`);
  };

  it("name a line in one way", () => {
    expect(problems({ chip: "pit", offset: 3 })).toEqual([]);
    expect(problems({ line: 499 })).toEqual([]);
    expect(problems({})).toEqual([": expected chip and offset, or line, found none of them"]);
    expect(problems({ chip: "pit" })).toEqual([": expected chip and offset, or line, found chip"]);
    expect(problems({ chip: "pit", offset: 3, line: 4 })).toEqual([
      ": expected chip and offset, or line, found chip and offset and line",
    ]);
  });

  it("say where a pull resistor is set, since the kernel's interface has none", () => {
    expect(problems({ line: 499, pull: "up" })).toEqual([
      "pull: expected as-is, found \"up\": the kernel's interface sets no pull resistor; set it in the board's device tree or boot configuration, or fit one",
    ]);
  });
});
