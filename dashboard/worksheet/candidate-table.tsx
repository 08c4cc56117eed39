// How the candidates went through the storm, side by side, and where the figures come from.

import { volumeWords } from "../../analysis/paper/words.ts";
import type { WhatIfRow } from "../../analysis/whatif/what-if.ts";
import { duration, figure, quantity } from "../format.ts";
import { units } from "../preferences.ts";
import type { CandidateCourse } from "./storm-courses.ts";

export function CandidateTable({ courses }: { courses: readonly CandidateCourse[] }) {
  return (
    <>
      <div class="scroll-box">
        <table class="candidates">
          <thead>
            <tr>
              <th scope="col">Installation</th>
              <th scope="col">Highest level</th>
              <th scope="col">Starts</th>
              <th scope="col">Ran</th>
              <th scope="col">Above high water</th>
              <th scope="col">Onto the floor</th>
            </tr>
          </thead>
          <tbody>
            {courses.map(({ row }) => (
              <Candidate key={row.name} row={row} />
            ))}
          </tbody>
        </table>
      </div>
      <p class="where">{groundsWords(courses)}</p>
    </>
  );
}

function Candidate({ row: { name, outcome, ranges, missing } }: { row: WhatIfRow }) {
  if (outcome === null) {
    return (
      <tr>
        <th scope="row">{name}</th>
        <td colSpan={5}>cannot be run: {missing.join("; ")}</td>
      </tr>
    );
  }
  const system = units.value;
  const range = ranges?.highestLevel_m;
  const isSharp = !range || range.high - range.low < 0.002;
  return (
    <tr>
      <th scope="row">{name}</th>
      <td>
        {quantity(outcome.highestLevel_m, "level", system)}
        {!isSharp && (
          <small>
            {figure(range.low, "level", system)} to {quantity(range.high, "level", system)}
          </small>
        )}
      </td>
      <td>
        {outcome.starts}
        <small>{outcome.mostStartsInAnHour} in an hour</small>
      </td>
      <td>{duration(outcome.run_s)}</td>
      <td>{outcome.aboveHigh_s === null ? "not known" : duration(outcome.aboveHigh_s)}</td>
      <td>{outcome.overflow_m3 === 0 ? "nothing" : volumeWords(outcome.overflow_m3, system)}</td>
    </tr>
  );
}

/** Where the pump's flows come from. */
function groundsWords(courses: readonly CandidateCourse[]): string {
  const how = {
    measured: "as measured",
    published: "by its curve",
    "published-as-measured": "by its curve, less what the present pump lacks of its own",
  };
  const each = courses.flatMap(({ row }) =>
    row.grounds ? [`${row.name}, the pump moves ${how[row.grounds.flow]}`] : [],
  );
  return `${each.join("; ")}. What comes in is as it was logged, whatever the level.`.replace(/^./, (first) =>
    first.toUpperCase(),
  );
}
