// What the schemas of many answers are made of.

import * as z from "zod";

export const time_s = z.number().describe("Unix time in seconds");
export const number = z.number().nullable();
