// Properties over any input, with the same inputs in every run, so that a failure is the change's and not the day's.
// Others are tried with `SEED=$RANDOM npx vitest run`; what fails says its seed.

import * as fc from "fast-check";

fc.configureGlobal({ seed: Number(process.env.SEED ?? 1) });

export * from "fast-check";
