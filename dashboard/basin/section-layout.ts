// Where everything stands in the drawing of the basin: a cross-section to scale, in the drawing's own pixels. Pure.

import type { BasinShape, BasinSite } from "../../analysis/site.ts";

export interface SectionBox {
  readonly width: number;
  readonly height: number;
}

/** The size of the drawing; the page scales it. */
export const sectionBox: SectionBox = { width: 380, height: 400 };

export type MarkName = "floor" | "high" | "start" | "stop";

/** A level that matters, with where its line and its label stand. */
export interface Mark {
  readonly name: MarkName;
  readonly level_m: number;
  readonly y: number;
  readonly labelY: number;
}

export interface SectionLayout {
  /** Pixels per metre, alike in both directions. */
  readonly scale: number;
  readonly centreX: number;
  readonly left: number;
  readonly right: number;
  readonly bottomY: number;
  readonly rimY: number;
  readonly floorY: number;
  /** Inside outline of the basin, from the left rim round the bottom to the right rim. */
  readonly outline: readonly { readonly x: number; readonly y: number }[];
  readonly marks: readonly Mark[];
  /** False when neither depth nor overflow level is given: the rim then stands where it looks right. */
  readonly depthKnown: boolean;
  y(level_m: number): number;
}

/** Room kept for the floor and the pipe above it, for the slab below, and for the labels on the right. */
const above = 74;
const below = 22;
const labels = 122;
const leftAir = 66;
const labelPitch = 31;
const slabRoom = 25;

export function sectionLayout(basin: BasinSite, box: SectionBox): SectionLayout {
  const profile = halfWidths(basin.geometry);
  const widest_m = Math.max(...profile.map((row) => row.halfWidth_m));
  const given_m = basin.depth_m ?? basin.overflowLevel_m;
  const highest_m = Math.max(0, ...[basin.startLevel_m, basin.stopLevel_m, basin.highLevel_m].map((l) => l ?? 0));
  const rim_m = Math.max(given_m ?? Math.max(highest_m * 1.25, widest_m * 3), highest_m);
  const top_m = Math.max(rim_m, basin.overflowLevel_m ?? 0);

  const room = { width: box.width - labels - leftAir, height: box.height - above - below };
  const scale = Math.min(room.height / top_m, room.width / (2 * widest_m));
  const bottomY = box.height - below;
  const centreX = leftAir + room.width / 2;
  const y = (level_m: number) => bottomY - level_m * scale;

  return {
    scale,
    centreX,
    left: centreX - widest_m * scale,
    right: centreX + widest_m * scale,
    bottomY,
    rimY: y(rim_m),
    floorY: y(basin.overflowLevel_m ?? rim_m),
    outline: outlineOf(profile, rim_m, centreX, scale, y),
    marks: marksOf(basin, y, box.height - 8),
    depthKnown: given_m !== null,
    y,
  };
}

interface HalfWidth {
  readonly from_m: number;
  readonly halfWidth_m: number;
}

/** Half the inside width from each level upwards. A table is drawn as a round basin of the same volume at each level. */
export function halfWidths(shape: BasinShape): HalfWidth[] {
  if (shape.shape === "round") return [{ from_m: 0, halfWidth_m: shape.diameter_m / 2 }];
  if (shape.shape === "rectangular") {
    return [{ from_m: 0, halfWidth_m: Math.max(shape.width_m, shape.length_m) / 2 }];
  }
  return shape.rows.slice(1).map((row, i) => {
    const under = shape.rows[i] ?? { level_m: 0, volume_m3: 0 };
    const area_m2 = (row.volume_m3 - under.volume_m3) / (row.level_m - under.level_m);
    return { from_m: i === 0 ? 0 : under.level_m, halfWidth_m: Math.sqrt(area_m2 / Math.PI) };
  });
}

function outlineOf(
  profile: readonly HalfWidth[],
  rim_m: number,
  centreX: number,
  scale: number,
  y: (level_m: number) => number,
): { x: number; y: number }[] {
  const half = profile.flatMap(({ from_m, halfWidth_m }, i) => {
    const to_m = Math.min(profile[i + 1]?.from_m ?? rim_m, rim_m);
    return from_m >= rim_m ? [] : [from_m, to_m].map((level_m) => ({ dx: halfWidth_m * scale, y: y(level_m) }));
  });
  const right = half.map(({ dx, y: at }) => ({ x: centreX + dx, y: at }));
  const left = half.map(({ dx, y: at }) => ({ x: centreX - dx, y: at })).reverse();
  return [...left, ...right];
}

function marksOf(basin: BasinSite, y: (level_m: number) => number, lowest: number): Mark[] {
  const levels: readonly (readonly [MarkName, number | null])[] = [
    ["floor", basin.overflowLevel_m],
    ["high", basin.highLevel_m],
    ["start", basin.startLevel_m],
    ["stop", basin.stopLevel_m],
  ];
  const known = levels.flatMap(([name, level_m]) => (level_m === null ? [] : [{ name, level_m, y: y(level_m) }]));
  // No label on the floor's slab: the floor's own stands beneath it.
  const highest = Math.min(...known.map((mark) => mark.y)) + slabRoom;
  const places = known.map((mark) => (mark.name === "floor" ? mark.y + slabRoom : Math.max(mark.y, highest)));
  const labelYs = spread(places, labelPitch, lowest);
  return known.map((mark, i) => ({ ...mark, labelY: labelYs[i] ?? mark.y }));
}

/**
 * Moves labels apart, each as near to its own place as the pitch allows, none lower than the lowest.
 *
 * @param places from the top downwards, y growing downwards
 */
export function spread(places: readonly number[], pitch: number, lowest: number): number[] {
  // Neighbours that would overlap become one block, which stands centred on the mean of its places.
  const blocks: { from: number; count: number; sum: number }[] = [];
  const top = (block: { count: number; sum: number }) =>
    Math.min(block.sum / block.count - ((block.count - 1) * pitch) / 2, lowest - (block.count - 1) * pitch);
  for (const [i, place] of places.entries()) {
    blocks.push({ from: i, count: 1, sum: place });
    for (;;) {
      const last = blocks.at(-1);
      const before = blocks.at(-2);
      if (!last || !before || top(before) + before.count * pitch <= top(last)) break;
      blocks.splice(-2, 2, { from: before.from, count: before.count + last.count, sum: before.sum + last.sum });
    }
  }
  return blocks.flatMap((block) => Array.from({ length: block.count }, (_, i) => top(block) + i * pitch));
}
