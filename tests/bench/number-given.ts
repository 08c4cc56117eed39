// A number on a bench's command line.

/**
 * @param place of the argument, from 0
 * @param name  as the bench's first lines call it
 * @returns what was given there, or `otherwise`; ends the process with 2 where it is no number above 0
 */
export function numberGiven(place: number, name: string, otherwise: number): number {
  const given = process.argv[2 + place];
  const value = given === undefined ? otherwise : Number(given);
  if (value > 0 && Number.isFinite(value)) return value;
  console.error(
    `${name}: expected a number above 0, found "${given}"; how to call it stands in the bench's first lines`,
  );
  process.exit(2);
}
