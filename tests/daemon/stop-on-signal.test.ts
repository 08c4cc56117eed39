import { spawn } from "node:child_process";
import { describe, expect, it } from "vitest";

const stopOnSignal = new URL("../../daemon/stop-on-signal.ts", import.meta.url).href;

/** Runs a process that stops in the given way; `steps` happens when it is up. */
async function run(stop: string, steps: string): Promise<{ code: number | null; out: string[] }> {
  const script = `
    const { stopOnSignal } = await import(${JSON.stringify(stopOnSignal)});
    stopOnSignal(${stop}, console.log);
    setInterval(() => {}, 1000);
    ${steps}`;
  const child = spawn(process.execPath, ["--input-type=module", "-e", script], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  let text = "";
  child.stdout.on("data", (chunk) => {
    text += chunk;
  });
  const code = await new Promise<number | null>((resolve) => child.on("close", resolve));
  return { code, out: text.split("\n").filter((line) => line !== "") };
}

const cleanly = "async () => console.log('flushed')";
const never = "() => new Promise(() => {})";
const signal = "process.kill(process.pid, 'SIGTERM');";

describe("stopOnSignal", () => {
  it("stops cleanly on a signal", async () => {
    expect(await run(cleanly, signal)).toEqual({ code: 0, out: ["flushed"] });
  });

  it("leaves at once on the second", async () => {
    expect(await run(never, `${signal} setTimeout(() => { ${signal} }, 50);`)).toEqual({ code: 130, out: [] });
  });

  it("says a defect in one line, stops cleanly and ends as a failure", async () => {
    const { code, out } = await run(cleanly, "setTimeout(() => { throw new Error('a\\nb'); });");
    expect([code, out]).toEqual([1, ["undercroft: a defect of the program, stopping: a b", "flushed"]]);
  });

  it("says what went wrong while stopping", async () => {
    const { code, out } = await run("async () => { throw new Error('the disk is gone'); }", signal);
    expect([code, out]).toEqual([1, ["stop: the disk is gone"]]);
  });
});
