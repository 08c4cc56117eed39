// A chart that page and paper share, drawn as wide as its place is, so that its letters keep their size on a phone.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Size } from "../../analysis/paper/chart-frame.ts";
import type { Html } from "../../analysis/paper/html.ts";

interface Props {
  readonly caption: string;
  /** Width over height. */
  readonly ratio: number;
  readonly draw: (size: Size) => Html | null;
}

const lowest = 220;
const highest = 320;

export function ChartBox({ caption, ratio, draw }: Props) {
  const box = useRef<HTMLElement>(null);
  const width = useSignal(0);
  useEffect(() => {
    const watcher = new ResizeObserver(() => {
      width.value = Math.round(box.current?.clientWidth ?? 0);
    });
    if (box.current) watcher.observe(box.current);
    return () => watcher.disconnect();
  }, [width]);
  const size = { width: width.value, height: Math.min(highest, Math.max(lowest, Math.round(width.value / ratio))) };
  const drawn = width.value > 0 ? draw(size) : null;
  return (
    <figure class="chart-box" ref={box}>
      <div style={{ minHeight: `${size.height}px` }} dangerouslySetInnerHTML={{ __html: drawn?.text ?? "" }} />
      <figcaption>{caption}</figcaption>
    </figure>
  );
}
