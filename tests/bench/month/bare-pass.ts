// The least that can be called an analysis: a threshold and a slope, one call for each sample as in the daemon.

export interface BareFills {
  readonly fills: number;
  /** Sum of the slopes, mm/s: the same by whoever works them out. */
  readonly slopes: number;
}

const over = 10;
const fall_mm = 30;
const fewest = 60;

/** A fill is what lies between falls of 3 cm within ten samples, when it is over a minute long. */
export function barePass() {
  const latest = new Float64Array(over);
  let seen = 0;
  let fills = 0;
  let slopes = 0;
  let origin_s = 0;
  let [n, sumT, sumTT, sumY, sumTY] = [0, 0, 0, 0, 0];

  const close = () => {
    if (n > fewest) {
      fills += 1;
      slopes += (n * sumTY - sumT * sumY) / (n * sumTT - sumT * sumT);
    }
    n = sumT = sumTT = sumY = sumTY = 0;
  };

  return {
    push(time_s: number, level_mm: number): void {
      const place = seen % over;
      const falls = seen >= over && level_mm - (latest[place] as number) < -fall_mm;
      latest[place] = level_mm;
      seen += 1;
      if (falls) {
        close();
        return;
      }
      if (n === 0) origin_s = time_s;
      const t = time_s - origin_s;
      n += 1;
      sumT += t;
      sumTT += t * t;
      sumY += level_mm;
      sumTY += t * level_mm;
    },
    end(): BareFills {
      close();
      return { fills, slopes };
    },
  };
}
