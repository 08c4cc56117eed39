// What is said of no alarm but of the ways to tell of one: tests, proofs that failed, answers that fit nothing. Within one text
// message each.

import type { AlarmFacts } from "../../analysis/alarms/alarm.ts";
import { fitInto } from "./fit-into.ts";
import { sayable, shortName } from "./short-name.ts";
import type { Said, Voice } from "./words.ts";

/** The message that proves a channel. */
export function sayProof(voice: Voice, kind: "test" | "monthly"): Said {
  const what = kind === "test" ? "Test of the alarms" : "Monthly proof of the alarms";
  const text = fitInto([
    { variants: [`${shortName(voice.siteName)}: ${what}. Nothing is wrong. If you can read this, it works.`] },
  ]);
  return {
    subject: `${shortName(voice.siteName)}: ${what}`,
    text,
    body: `${what}. Nothing is wrong.\nIf you can read this, it works.`,
  };
}

/** That a monthly proof did not get through, for whoever is still reached. */
export function sayUnproven(voice: Voice, { contact, by, reason }: AlarmFacts): Said {
  const site = shortName(voice.siteName);
  const [name, way, why] = [contact, by, reason].map((each) => sayable(String(each ?? "")));
  const what = `The monthly proof to ${name} by ${way} failed`;
  return {
    subject: `${site}: Monthly proof failed`,
    text: fitInto([
      {
        variants: [
          ...(why === "" ? [] : [`${site}: ${what}: ${why}.`]),
          `${site}: ${what}.`,
          `${site}: A monthly proof to ${shortName(name ?? "")} failed.`,
          `${site}: A monthly proof failed.`,
        ],
        cut: 1,
      },
      { variants: ["An alarm would not arrive that way, either: see the page."] },
    ]),
    body: [
      `${what}${why === "" ? "" : `: ${reason}`}.`,
      "An alarm would not arrive that way, either. The page says what each channel lacks; send a test once it is mended.",
    ].join("\n"),
  };
}

/** That an answer belonged to nothing, for whoever gave it. */
export function sayInVain(voice: Voice, { said }: AlarmFacts): Said {
  const site = shortName(voice.siteName);
  const what = `Your answer ${said} fits no alarm that lasts, so it counts for none.`;
  const how = "If you see to it, reply OK without a number.";
  return { subject: `${site}: an answer that fits nothing`, text: `${site}: ${what} ${how}`, body: `${what}\n${how}` };
}
