// JSON as the API writes it. Everything passes through as it is but one figure that JSON has no word for.

/** Stands for 'infinitely many degrees of freedom'; Student's t does not tell the two apart. */
const manyDegreesOfFreedom = 1e9;

export function encodeJson(value: unknown): string {
  return JSON.stringify(value, (key, inner: unknown) =>
    key === "degreesOfFreedom" && inner === Number.POSITIVE_INFINITY ? manyDegreesOfFreedom : inner,
  );
}
