// Plays a recording as if it happened now, at any speed, with the recording's own times. Reading the file is the work
// of daemon/recordings.

import * as z from "zod";
import { recordingSchema } from "../config/sections/recording.ts";
import { defineSource } from "./source.ts";

export const replay = defineSource({
  kind: "replay",

  config: z.strictObject({
    kind: z.literal("replay").describe("plays a recording"),
    name: z.string().min(1).describe("shown on the page"),
    file: z.string().min(1).describe("the recording: CSV, or gzipped CSV; relative to the site file"),
    speed: z.number().min(1).max(10_000).default(1).describe("seconds of the recording that pass in one, 1 to 10000"),
    ...recordingSchema.shape,
  }),

  open() {
    throw new Error("replay: not there yet");
  },
});
