// One of the accuracy bench's workers: scores the scenario and seed it is told. An analysis that throws is a result too.

import { parentPort } from "node:worker_threads";
import { scenarios } from "../truth/scenarios/index.ts";
import { scoreOf } from "../truth/score.ts";

parentPort?.on("message", async ({ name, seed }: { readonly name: string; readonly seed: number }) => {
  const scenario = scenarios.find((one) => one.name === name);
  if (scenario === undefined) throw new Error(`no scenario is called ${name}`);
  try {
    parentPort?.postMessage(await scoreOf(scenario, seed));
  } catch (error) {
    parentPort?.postMessage({ scenario: name, seed, threw: String(error) });
  }
});
