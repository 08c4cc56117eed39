// Every number that the worksheet asks for: what it is, in which unit, where on the spot to find it, and what it can be.

import type { Dimension, Unit } from "../../analysis/units/unit.ts";

export type FieldKey = keyof typeof fields;

export interface Field {
  readonly label: string;
  /** Where to find it. */
  readonly where: string;
  /** The unit in US and in metric use; null for a plain number. */
  readonly units: { readonly us: Unit; readonly metric: Unit } | null;
  readonly dimension: Dimension | null;
  /** For what has a unit that the program does not convert: `Ah`, `V`, `times`. */
  readonly word?: string;
  readonly decimals: number;
  readonly least: number;
  readonly most: number;
  /** The least and the most are not allowed themselves. */
  readonly open?: true;
}

const level = { us: "in", metric: "cm" } as const;
const long = { us: "ft", metric: "m" } as const;
const onLevels = { units: level, dimension: "length", decimals: 2, least: 0, most: 10 } as const;
const positive = { ...onLevels, open: true } as const;

export const fields = {
  diameter: {
    ...positive,
    label: "Inside diameter",
    where: "Tape across the basin below the rim, from inside edge to inside edge. Not the lid.",
  },
  width: { ...positive, label: "Inside width", where: "Tape across the short side, inside edge to inside edge." },
  length: { ...positive, label: "Inside length", where: "Tape across the long side, inside edge to inside edge." },
  occupied: {
    units: { us: "in2", metric: "cm2" },
    dimension: "area",
    decimals: 1,
    least: 0,
    most: 10,
    label: "Area taken up by pump and pipes",
    where: "Seen from above, where the water rises: width × length of the pump's body, and the pipe.",
  },
  depth: {
    ...positive,
    label: "Depth of the basin",
    where: "Stick or tape from the inside bottom up to the rim. Pump switched off first.",
  },
  stop: {
    ...positive,
    label: "Stop level",
    where: "From the inside bottom up to the water, just after the pump has stopped.",
  },
  start: {
    ...positive,
    label: "Start level",
    where: "From the inside bottom up to the water, at the moment the pump starts.",
  },
  high: {
    ...positive,
    label: "High water",
    where: "From the inside bottom up to where the separate high-water float lifts.",
  },
  overflow: {
    ...positive,
    label: "Floor level",
    where: "From the inside bottom up to where water would come onto the floor: mostly the rim.",
  },
  inlet: {
    ...positive,
    label: "Lowest inlet",
    where: "From the inside bottom up to the lower edge of the lowest drain that comes in.",
  },
  highPoint: {
    units: long,
    dimension: "length",
    decimals: 2,
    least: 0,
    most: 60,
    open: true,
    label: "Highest point of the pipe",
    where: "From the inside bottom of the basin: its depth, and from the floor up to the pipe where it runs highest.",
  },
  pipeLength: {
    units: long,
    dimension: "length",
    decimals: 2,
    least: 0,
    most: 1000,
    open: true,
    label: "Length of pipe",
    where: "Along the pipe from the pump to where the water leaves, every rise and every run.",
  },
  bore: {
    units: { us: "in", metric: "mm" },
    dimension: "length",
    decimals: 3,
    least: 0,
    most: 1,
    open: true,
    label: "Own inside diameter",
    where: "Only where the size is not in the list: measured at a cut end. It then counts in place of the size.",
  },
  maxStarts: {
    units: null,
    dimension: null,
    word: "an hour",
    decimals: 1,
    least: 0,
    most: 1000,
    open: true,
    label: "Starts allowed",
    where: "In the pump's data sheet, under motor or duty.",
  },
  minRun: {
    units: { us: "s", metric: "s" },
    dimension: "duration",
    decimals: 0,
    least: 0,
    most: 3600,
    open: true,
    label: "Shortest run",
    where: "In the pump's data sheet: a motor that stops sooner never cools by its own water.",
  },
  inputPower: {
    units: { us: "W", metric: "W" },
    dimension: "power",
    decimals: 0,
    least: 0,
    most: 20_000,
    open: true,
    label: "Power while it runs",
    where: "On the name plate in watts, or amps × volts; better, read off a plug-in meter.",
  },
  factor: {
    units: null,
    dimension: null,
    word: "times",
    decimals: 2,
    least: 1,
    most: 10,
    label: "Allowance over the measured peak",
    where: "For storms heavier than those seen. Half again, 1.5, is common practice, no source.",
  },
  stormDepth: {
    units: { us: "in", metric: "mm" },
    dimension: "length",
    decimals: 2,
    least: 0,
    most: 2,
    open: true,
    label: "Rain of the storm to hold",
    where: "In the public rainfall table of your place: the depth for a duration and a return period.",
  },
  stormDuration: {
    units: { us: "h", metric: "h" },
    dimension: "duration",
    decimals: 1,
    least: 300,
    most: 864_000,
    label: "Duration of that storm",
    where: "The row of the same table that the depth stands in.",
  },
  hold: {
    units: { us: "h", metric: "h" },
    dimension: "duration",
    decimals: 1,
    least: 0,
    most: 1_209_600,
    open: true,
    label: "Power cut to hold",
    where: "The longest cut that this house has had, or that its owner fears.",
  },
  capacity: {
    units: null,
    dimension: null,
    word: "Ah",
    decimals: 0,
    least: 0,
    most: 10_000,
    open: true,
    label: "Capacity of the battery",
    where: "On the battery's label, in ampere hours.",
  },
  ratedHours: {
    units: null,
    dimension: null,
    word: "h",
    decimals: 0,
    least: 0,
    most: 1000,
    open: true,
    label: "Hours that the capacity is rated at",
    where: "On the label beside the capacity: 20 h for most.",
  },
  volts: {
    units: null,
    dimension: null,
    word: "V",
    decimals: 0,
    least: 0,
    most: 1000,
    open: true,
    label: "Voltage of the battery",
    where: "On its label: 12 V for one, 24 V for two in line.",
  },
  backupPower: {
    units: { us: "W", metric: "W" },
    dimension: "power",
    decimals: 0,
    least: 0,
    most: 20_000,
    open: true,
    label: "Power of the pump on the battery",
    where: "On that pump's plate: watts, or amps × volts, while it runs.",
  },
  backupFlow: {
    units: { us: "gpm", metric: "L/min" },
    dimension: "flow",
    decimals: 1,
    least: 0,
    most: 1,
    open: true,
    label: "Flow of the pump on the battery",
    where: "Only if it is another pump: its flow at the head of this pipe, from its data sheet.",
  },
  curveFlow: {
    units: { us: "gpm", metric: "L/min" },
    dimension: "flow",
    decimals: 1,
    least: 0,
    most: 1,
    label: "Flow",
    where: "From the curve or the table in the pump's data sheet, smallest flow first.",
  },
  curveHead: {
    units: long,
    dimension: "length",
    decimals: 2,
    least: 0,
    most: 200,
    label: "Head",
    where: "At that flow.",
  },
  rise: {
    ...positive,
    label: "Rise",
    where: "Water level at the end less that at the beginning, on the same ruler.",
  },
  watched: {
    units: { us: "s", metric: "s" },
    dimension: "duration",
    decimals: 1,
    least: 0,
    most: 86_400,
    open: true,
    label: "Watched for",
    where: "By the watch, from one reading to the other.",
  },
} as const satisfies Readonly<Record<string, Field>>;
