// Plays a recording as if it happened now, at any speed, with the recording's own times. Reading the file is the work
// of daemon/recordings.

import { resolve } from "node:path";
import * as z from "zod";
import type { Reading } from "../../analysis/readings/reading.ts";
import { recordingSchema, toRecordingConfig } from "../config/sections/recording.ts";
import { readRecording } from "../recordings/read-recording.ts";
import { createPacer, type Pacer, Stopped } from "./replay/pacer.ts";
import { defineSource, type SourceContext } from "./source.ts";

const slowest = 1;
const fastest = 10_000;

const config = z.lazy(() =>
  z.strictObject({
    kind: z.literal("replay").describe("plays a recording"),
    name: z.string().min(1).describe("shown on the page"),
    file: z.string().min(1).describe("the recording: CSV, gzipped or not; relative to the site file"),
    speed: z
      .number()
      .min(slowest)
      .max(fastest)
      .default(1)
      .describe("seconds of the recording that pass in one, 1 to 10,000; the page has a control for it"),
    ...recordingSchema.shape,
  }),
);

export const replay = defineSource({
  kind: "replay",
  config,

  open(config, context) {
    const pacer = createPacer(config.speed, () => context.now_s());
    play(config, context, pacer).catch((error: unknown) => {
      if (!(error instanceof Stopped)) context.fail(error instanceof Error ? error : new Error(String(error)));
    });
    return {
      close: () => pacer.stop(),
      speed: {
        get: pacer.speed,
        set(speed) {
          if (!(speed >= slowest && speed <= fastest)) {
            throw new RangeError(`replay "${config.name}": the speed is ${speed}; expected ${slowest} to ${fastest}`);
          }
          pacer.setSpeed(speed);
        },
        max: fastest,
      },
    };
  },
});

async function play(keys: z.output<typeof config>, context: SourceContext, pacer: Pacer): Promise<void> {
  const after_s = context.lastReading_s ?? Number.NEGATIVE_INFINITY; // after a restart, play goes on where it was
  let batch: Reading[] = [];

  // The recording is read no further while a chunk of it is being played.
  async function afterChunk(): Promise<void> {
    if (pacer.stopped()) throw new Stopped("stopped");
    for (const reading of batch) {
      const due = pacer.wait(reading.time_s);
      if (due !== null) await due;
      context.emit(reading);
    }
    batch = [];
  }

  const { columns, timezone, missing } = toRecordingConfig(keys);
  const options = { columns, timezone, missing, afterChunk, chunkBytes: 64 * 1024 };
  const { problems } = await readRecording(resolve(context.baseFolder, keys.file), options, (reading) => {
    if (reading.time_s > after_s) batch.push(reading);
  });
  await afterChunk(); // what came after the last chunk
  const [first, ...more] = problems;
  if (first === undefined) context.finished();
  else context.fail(new Error(more.length === 0 ? first : `${first} (and ${more.length} more)`));
}
