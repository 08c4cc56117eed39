// A series that may grow for years in the memory of some forty figures: means of blocks of equal length, which doubles
// whenever there are too many.

export interface CourseState {
  /** Means of whole blocks, oldest first. */
  values: number[];
  /** Values in a block. */
  per: number;
  /** Of the block that is not whole yet. */
  sum: number;
  count: number;
}

/** An even number: pairs are joined. */
const most = 40;

export function courseFrom(values: readonly number[]): CourseState {
  const course: CourseState = { values: [], per: 1, sum: 0, count: 0 };
  for (const value of values) addToCourse(course, value);
  return course;
}

export function addToCourse(course: CourseState, value: number): void {
  course.sum += value;
  course.count += 1;
  if (course.count < course.per) return;
  course.values.push(course.sum / course.per);
  course.sum = 0;
  course.count = 0;
  if (course.values.length < most) return;
  const { values } = course;
  course.values = Array.from({ length: most / 2 }, (_, i) => ((values[2 * i] ?? 0) + (values[2 * i + 1] ?? 0)) / 2);
  course.per *= 2;
}
