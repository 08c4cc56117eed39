// Memory to work in that is used again: for a few hundred numbers it costs more to ask for memory than to work.

/** Gives the same memory each time, with room for `count` numbers at least; what stands in it is of no use. */
export function workplace(): (count: number) => Float64Array {
  let memory = new Float64Array(512);
  return (count) => {
    if (memory.length < count) memory = new Float64Array(2 * count);
    return memory;
  };
}
