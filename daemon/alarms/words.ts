// What a message says: short enough for one text message, or whole for channels with room. Words first, figures in the
// units of the site; the edge of the program, so no figure is worked out here.

import type { AlarmDefinition, AlarmFacts } from "../../analysis/alarms/alarm.ts";
import type { Site } from "../../analysis/site.ts";
import { words } from "../../analysis/units/words.ts";
import { fitInto, type Part } from "./fit-into.ts";
import type { HouseTime } from "./house-time.ts";
import type { AlarmMessageKind } from "./outbox/message-row.ts";
import { sensorInWords } from "./sensor-words.ts";
import { shortName } from "./short-name.ts";

export interface Voice {
  readonly siteName: string;
  readonly displayUnits: "us" | "metric";
  readonly house: HouseTime;
  /** Day and time of the clock on the wall there: `4 Mar, 03:12`. */
  readonly clock: (time_s: number) => string;
}

/** How a site speaks: made once, for to learn a time zone's clock takes longer than the whole way of an alarm. */
export function voiceOf({ name, displayUnits }: Pick<Site, "name" | "displayUnits">, house: HouseTime): Voice {
  const format = new Intl.DateTimeFormat("en-GB", {
    timeZone: house.timezone,
    day: "numeric",
    month: "short",
    hour: "2-digit",
    minute: "2-digit",
  });
  const clock = (time_s: number) => format.format((time_s + house.ahead_s(time_s)) * 1000);
  clock(0); // the first one is the slowest
  return { siteName: name, displayUnits, house, clock };
}

/** One thing to tell of one alarm. */
export interface Telling {
  readonly kind: AlarmMessageKind;
  readonly definition: Pick<
    AlarmDefinition,
    "title" | "overTitle" | "firstThing" | "whatToDo" | "consequence" | "name"
  >;
  readonly facts: AlarmFacts;
  readonly from_s: number;
  readonly to_s: number | null;
}

export interface Said {
  readonly subject: string;
  readonly text: string;
  readonly body: string;
}

/**
 * @param tellings    one, or several that are sent together, the first cause first
 * @param code        what a reply `OK code` acknowledges; null: this channel takes no replies
 * @param maybeRepeated it may have been sent before
 */
export function say(
  tellings: readonly [Telling, ...Telling[]],
  voice: Voice,
  { code, maybeRepeated, link }: { code: number | null; maybeRepeated: boolean; link: string | null },
): Said {
  const [first, ...more] = tellings;
  const site = shortName(voice.siteName);
  const headline = `${heading(first)}${more.map(after).join("")}`;
  const begun = more.filter(({ kind }) => kind !== "over").length;
  const counted = `${begun === 0 ? "" : `, then ${begun} more`}${begun === more.length ? "" : `; ${more.length - begun} over`}`;
  const asksReply = tellings.some(({ kind }) => kind !== "over");
  const text = fitInto([
    {
      variants: [`${site}: ${headline}.`, ...(more.length === 0 ? [] : [`${site}: ${heading(first)}${counted}.`])],
      cut: 2,
    },
    { variants: maybeRepeated ? ["(Perhaps sent before.)", "(Again?)"] : [], cut: 4 },
    { variants: first.kind === "again" ? ["Nobody has answered.", ""] : [], cut: 4 },
    { variants: comesAndGoes(first), cut: 4 },
    ...figuresInShort(first, voice),
    { variants: first.kind === "over" ? [] : [first.definition.firstThing, ""], cut: 6 },
    { variants: code === null || !asksReply ? [] : [`Reply OK ${code}.`] },
  ]);
  return {
    subject: `${site}: ${headline}`,
    text,
    // Laid out for those who ask for it: a text message leaves without.
    get body() {
      return [
        ...(maybeRepeated ? ["This may have been sent before.", ""] : []),
        ...tellings.flatMap((telling) => [...paragraph(telling, voice), ""]),
        ...(asksReply ? howToAnswer(code, link) : []),
        "The monitor advises; it is no safety device and does not switch the pump.",
      ].join("\n");
    },
  };
}

function heading({ kind, definition: { title, overTitle } }: Telling): string {
  if (kind === "over") return overTitle ?? `over: ${title[0]}${title.slice(1).toLowerCase()}`;
  return `${title}${kind === "worse" ? ", WORSE" : kind === "again" ? ", STILL" : ""}`;
}

/** Else "supply on" beside a supply that is lost is a riddle. */
function comesAndGoes({ kind, facts }: Telling): string[] {
  return kind !== "over" && facts.comes_and_goes === true ? ["It comes and goes.", ""] : [];
}

function lastLevel({ last_level_m, unread_until_s }: AlarmFacts, in_: ReturnType<typeof words>): string[] {
  // For how long nothing was read is said with it.
  if (typeof last_level_m !== "number" || typeof unread_until_s === "number") return [];
  return [`The sensor's last level was ${in_.level(last_level_m)}.`, ""];
}

/** What has ended does not follow from what began. */
function after(telling: Telling, i: number, all: readonly Telling[]): string {
  if (telling.kind === "over") return `; ${heading(telling)}`;
  const isOneOfMany = i > 0 && all[i - 1]?.kind !== "over";
  return `${isOneOfMany ? ", " : ", then "}${heading(telling)}`;
}

/** The level goes first, then the longer way to say when the water reaches the floor, then pump and supply. */
function figuresInShort(telling: Telling, { displayUnits }: Voice): Part[] {
  const { facts, kind } = telling;
  const in_ = words(displayUnits);
  const level = typeof facts.level_m === "number" ? in_.level(facts.level_m) : null;
  if (kind === "over") {
    const gone = telling.definition.overTitle === undefined ? "lasted" : "was gone for";
    const verb = facts.came_and_went === true ? "came and went for" : gone;
    // Of what began before a clock was set back nobody knows how long it lasted.
    const lasted_s = telling.to_s === null ? -1 : telling.to_s - telling.from_s;
    const lasted = lasted_s < 0 ? "" : `It ${verb} ${in_.duration(roughly(lasted_s))}.`;
    return [
      { variants: [lasted] },
      {
        variants: typeof facts.high_mark_off_m === "number" && facts.problem === "re-zeroed" ? [asReadNow, ""] : [],
        cut: 1,
      },
      { variants: level === null ? [] : [`Level ${level}.`, ""], cut: 1 },
    ];
  }
  const other = otherFigures(facts, in_);
  return [
    { variants: other === null ? [] : [other, ""], cut: 3 },
    ...(typeof facts.idle_pump === "number" ? idlePump(facts.idle_pump) : []),
    { variants: floorInWords(facts), cut: 3 },
    { variants: [standing(facts), ""], cut: 5 },
    {
      variants:
        level === null ? lastLevel(facts, in_) : [`Level ${level}${rising(facts, in_)}.`, `Level ${level}.`, ""],
      cut: 1,
    },
  ];
}

/** What was set anew is learned as it is: that is no sign that it is right. */
const asReadNow = "What it reads now is taken as right: check that the high-water mark still fits.";

/** Said at length where there is room. */
function idlePump(pump: number): Part[] {
  return [
    {
      variants: [`Pump ${pump} does not start; the other has to do its work.`, `Pump ${pump} does not start.`],
      cut: 1,
    },
  ];
}

/** As a person would say it: half minutes, minutes, tenths of an hour, days. */
function roughly(duration_s: number): number {
  const day_s = 86_400;
  const step_s =
    duration_s < 60 ? 1 : duration_s < 600 ? 30 : duration_s < 7200 ? 60 : duration_s < 2 * day_s ? 360 : day_s;
  return Math.round(duration_s / step_s) * step_s;
}

/** What the alarms that are not of water know. */
function otherFigures(facts: AlarmFacts, in_: ReturnType<typeof words>): string | null {
  const { unwatched_from_s, unwatched_to_s, inflow_day_m3, usual_day_m3, charge_share, starts_in_last_hour } = facts;
  const { last_run_s, as_of_s, unread_until_s, last_level_m, channel, problem, high_mark_off_m } = facts;
  if (typeof unread_until_s === "number" && typeof as_of_s === "number" && unread_until_s > as_of_s) {
    const level = typeof last_level_m === "number" ? `; level was ${in_.level(last_level_m)}` : "";
    return `Nothing read for ${in_.duration(roughly(unread_until_s - as_of_s))}${level}.`;
  }
  if (typeof last_run_s === "number" && typeof as_of_s === "number" && as_of_s > last_run_s)
    return `No run for ${in_.duration(roughly(as_of_s - last_run_s))}.`;
  if (typeof unwatched_from_s === "number" && typeof unwatched_to_s === "number")
    return `Nothing was watched for ${in_.duration(roughly(unwatched_to_s - unwatched_from_s))}.`;
  if (typeof inflow_day_m3 === "number" && typeof usual_day_m3 === "number")
    return `${in_.volume(inflow_day_m3)} in a day, usual is ${in_.volume(usual_day_m3)}.`;
  if (typeof charge_share === "number") return `Charge ${Math.round(charge_share * 100)}%.`;
  if (typeof high_mark_off_m === "number") {
    const late = high_mark_off_m < 0;
    // Whoever set it may have set it right.
    if (problem === "re-zeroed")
      return `The sensor, set anew or moved, reads ${in_.level(Math.abs(high_mark_off_m))} ${late ? "lower" : "higher"}. Is that right?`;
    return `The level reads ${in_.level(Math.abs(high_mark_off_m))} ${late ? "low" : "high"} there: the warning comes too ${late ? "late" : "early"}.`;
  }
  if (typeof channel === "string") return sensorInWords(channel, String(problem));
  if (typeof starts_in_last_hour === "number" && starts_in_last_hour > 0)
    return `${starts_in_last_hour} starts in the last hour.`;
  return null;
}

/** `Reaches the floor in about 14 min at this rate (9 to 20).` and shorter. */
function floorInWords(facts: AlarmFacts): string[] {
  const { to_floor_s: expected_s, to_floor_earliest_s: earliest_s, to_floor_latest_s: latest_s } = facts;
  const { level_m, last_level_m, floor_level_m } = facts;
  const isAt = (level: unknown) =>
    typeof level === "number" && typeof floor_level_m === "number" && level >= floor_level_m;
  if (isAt(level_m)) return ["The water is at the floor.", "At the floor."];
  if (isAt(last_level_m)) return ["The water was at the floor."];
  // Days ahead nothing rises as it does now.
  if (typeof expected_s !== "number" || expected_s > 86_400) return [];
  if (expected_s < 60) return ["Reaches the floor within a minute.", "Floor within 1 min."];
  const [unit, per] = expected_s < 7200 ? (["min", 60] as const) : (["h", 3600] as const);
  const in_ = (time_s: number) => `${Number((time_s / per).toPrecision(2))}`;
  const range =
    typeof earliest_s !== "number"
      ? ""
      : typeof latest_s === "number" && latest_s < 10 * expected_s
        ? in_(earliest_s) === in_(latest_s)
          ? ""
          : ` (${in_(earliest_s)} to ${in_(latest_s)})`
        : ` (${in_(earliest_s)} or more)`;
  const about = `in about ${in_(expected_s)} ${unit}`;
  return [`Reaches the floor ${about} at this rate${range}.`, `Floor ${about}${range}.`];
}

function standing({ pump_running, mains_on }: AlarmFacts): string {
  const pump = pump_running === true ? "Pump runs" : pump_running === false ? "Pump stands still" : null;
  const supply = mains_on === true ? "supply on" : mains_on === false ? "no supply" : null;
  if (pump === null && supply === null) return "";
  return `${[pump, supply].filter((each) => each !== null).join(", ")}.`.replace(/^./, (letter) =>
    letter.toUpperCase(),
  );
}

function rising({ rise_ms }: AlarmFacts, in_: ReturnType<typeof words>): string {
  // Over minutes in which the pump also ran a fall may be one that has ended: it would comfort without reason.
  if (typeof rise_ms !== "number" || rise_ms * 60 < 0.0005) return "";
  return `, rising ${in_.level(rise_ms * 60)} a minute`;
}

function paragraph(telling: Telling, voice: Voice): string[] {
  const { definition, kind, from_s, to_s } = telling;
  const figures = figuresInShort(telling, voice).flatMap(({ variants: [longest = ""] }) =>
    longest === "" ? [] : [longest],
  );
  const { clock } = voice;
  const since =
    kind === "over" && to_s !== null ? `From ${clock(from_s)} to ${clock(to_s)}.` : `Since ${clock(from_s)}.`;
  return [
    `${heading(telling)}. ${since}`,
    ...(kind === "again" ? ["Nobody has answered yet."] : []),
    ...comesAndGoes(telling).slice(0, 1),
    ...(figures.length > 0 ? [figures.join(" ")] : []),
    ...(kind === "over" ? [] : [`What to do: ${definition.whatToDo}`, `If nothing is done: ${definition.consequence}`]),
  ];
}

function howToAnswer(code: number | null, link: string | null): string[] {
  const ways = [code === null ? null : `reply OK ${code}`, link === null ? null : `open ${link}`].filter(
    (way) => way !== null,
  );
  return ways.length === 0
    ? []
    : [`To say that you see to it: ${ways.join(", or ")}. The next person is then not called.`, ""];
}
